//! Where the time of a check goes: an hour's log of two rows a second and 27 columns, from its bytes to each output.
//!
//! The first group is what a person waits for; the second takes it apart.

#[path = "../tests/support/long_log.rs"]
mod long_log;

use divan::{Bencher, black_box};
use long_log::{COLUMNS, Form, ROWS, long_log};
use wellbled::analysis::Analysis;
use wellbled::ingest::{self, Options};
use wellbled::report::document::Document;
use wellbled::report::text::Style;
use wellbled::report::{build, chart, html, json, text};
use wellbled::run::Run;
use wellbled::verdict::Judgement;

fn main() {
    let log = long_log(Form::Comma);
    let lines: Vec<&[u8]> = log.split(|&byte| byte == b'\n').filter(|line| !line.is_empty()).collect();
    assert_eq!(lines.len(), ROWS + 1, "an hour at two rows a second, and a heading");
    assert!(lines.iter().all(|line| line.iter().filter(|&&byte| byte == b',').count() == COLUMNS - 1));
    divan::main();
}

/// Size of the plot that `--plot` writes.
const PIXELS: (u32, u32) = (1200, 800);

const STYLE: Style = Style { color: false, width: 80 };

fn read(bytes: &[u8]) -> Run {
    ingest::read(bytes, "hour.csv", &Options::default()).expect("the made log is read").run
}

fn report(run: &Run) -> Document {
    let analysis = Analysis::of(run);
    build::document(run, &analysis, &Judgement::of(run, &analysis))
}

mod whole {
    use super::*;

    fn bench<T>(bencher: Bencher, last: impl Fn(&Document) -> T + Sync) {
        let bytes = long_log(Form::Comma);
        bencher.bench(|| {
            let document = report(&read(black_box(&bytes)));
            (text::render(&document, STYLE), last(&document))
        });
    }

    #[divan::bench]
    fn text_alone(bencher: Bencher) {
        bench(bencher, |_| ());
    }

    #[divan::bench]
    fn with_json(bencher: Bencher) {
        bench(bencher, |document| json::render(document).expect("a document is JSON"));
    }

    #[divan::bench]
    fn with_png(bencher: Bencher) {
        bench(bencher, |document| chart::png(&document.chart, PIXELS).expect("the plot has a size"));
    }

    #[divan::bench]
    fn with_html(bencher: Bencher) {
        bench(bencher, |document| html::render(document).expect("the page's plots have fixed sizes"));
    }
}

mod parts {
    use super::*;
    use wellbled::analysis::{
        ambient::Ambient, cooling_down::CoolingDown, heat_input::HeatInput, heat_rejection::HeatRejection, opening::Opening,
        phases::Phases, regulation::Regulation, warm_up::WarmUp,
    };

    /// What the later questions need of the earlier ones.
    struct Asked {
        run: Run,
        phases: Phases,
        ambient: Ambient,
        heat: HeatInput,
        opening: Opening,
    }

    fn asked() -> Asked {
        let run = read(&long_log(Form::Comma));
        let phases = Phases::of(&run);
        let (ambient, heat) = (Ambient::of(&run, &phases), HeatInput::of(&run, &phases));
        let opening = Opening::of(&run, &phases, &heat, &ambient);
        Asked { run, phases, ambient, heat, opening }
    }

    #[divan::bench]
    fn import(bencher: Bencher) {
        let bytes = long_log(Form::Comma);
        bencher.bench(|| read(black_box(&bytes)));
    }

    #[divan::bench]
    fn analysis_all(bencher: Bencher) {
        let run = read(&long_log(Form::Comma));
        bencher.bench(|| Analysis::of(black_box(&run)));
    }

    #[divan::bench]
    fn heat_input(bencher: Bencher) {
        let Asked { run, phases, .. } = asked();
        bencher.bench(|| HeatInput::of(black_box(&run), &phases));
    }

    #[divan::bench]
    fn opening(bencher: Bencher) {
        let Asked { run, phases, ambient, heat, .. } = asked();
        bencher.bench(|| Opening::of(black_box(&run), &phases, &heat, &ambient));
    }

    #[divan::bench]
    fn warm_up(bencher: Bencher) {
        let Asked { run, phases, ambient, heat, opening } = asked();
        bencher.bench(|| WarmUp::of(black_box(&run), &phases, &heat, &ambient, &opening));
    }

    #[divan::bench]
    fn regulation(bencher: Bencher) {
        let Asked { run, phases, ambient, heat, opening } = asked();
        bencher.bench(|| Regulation::of(black_box(&run), &phases, &heat, &ambient, &opening));
    }

    #[divan::bench]
    fn heat_rejection(bencher: Bencher) {
        let Asked { run, phases, ambient, heat, opening } = asked();
        bencher.bench(|| HeatRejection::of(black_box(&run), &phases, &heat, &ambient, &opening));
    }

    #[divan::bench]
    fn cooling_down(bencher: Bencher) {
        let Asked { run, phases, ambient, .. } = asked();
        bencher.bench(|| CoolingDown::of(black_box(&run), &phases, &ambient));
    }

    #[divan::bench]
    fn document(bencher: Bencher) {
        let run = read(&long_log(Form::Comma));
        let analysis = Analysis::of(&run);
        bencher.bench(|| build::document(black_box(&run), &analysis, &Judgement::of(&run, &analysis)));
    }

    #[divan::bench]
    fn text_from_document(bencher: Bencher) {
        let document = report(&read(&long_log(Form::Comma)));
        bencher.bench(|| text::render(black_box(&document), STYLE));
    }

    #[divan::bench]
    fn html_from_document(bencher: Bencher) {
        let document = report(&read(&long_log(Form::Comma)));
        bencher.bench(|| html::render(black_box(&document)));
    }

    #[divan::bench]
    fn png_from_document(bencher: Bencher) {
        let document = report(&read(&long_log(Form::Comma)));
        bencher.bench(|| chart::png(black_box(&document.chart), PIXELS));
    }

    #[divan::bench]
    fn svg_from_document(bencher: Bencher) {
        let document = report(&read(&long_log(Form::Comma)));
        bencher.bench(|| chart::svg(black_box(&document.chart), chart::Theme::Paper, PIXELS));
    }
}
