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
        ambient::Ambient,
        boiling_margin::BoilingMargin,
        cooling_down::CoolingDown,
        heat_input::HeatInput,
        heat_rejection::HeatRejection,
        level_expansion::LevelExpansion,
        level_loss::LevelLoss,
        log_quality::LogQuality,
        opening::Opening,
        phases::Phases,
        regulation::Regulation,
        sensor_offset::SensorOffset,
        trapped_air::{Findings, PRIOR, TrappedAir},
        warm_up::WarmUp,
    };

    /// The hour's run, with level notes, so that no question is left unasked.
    fn run() -> Run {
        let notes = b"occasion,reading,unit,ambient,cap\ncold before,40,mm,18 degC,\nhot after drive,52,mm,18 degC,closed\ncold after,38,mm,19 degC,closed\n";
        Run { levels: ingest::levels::read(notes).expect("they are level notes"), ..read(&long_log(Form::Comma)) }
    }

    #[divan::bench]
    fn import(bencher: Bencher) {
        let bytes = long_log(Form::Comma);
        bencher.bench(|| read(black_box(&bytes)));
    }

    #[divan::bench]
    fn analysis_all(bencher: Bencher) {
        let run = run();
        bencher.bench(|| Analysis::of(black_box(&run)));
    }

    /// One question, with what it needs of the others already answered.
    fn question<T>(bencher: Bencher, asked: impl Fn(&Run, &Analysis) -> T + Sync) {
        let run = run();
        let known = Analysis::of(&run);
        bencher.bench(|| asked(black_box(&run), &known));
    }

    #[divan::bench]
    fn phases(bencher: Bencher) {
        question(bencher, |run, _| Phases::of(run));
    }

    #[divan::bench]
    fn ambient(bencher: Bencher) {
        question(bencher, |run, known| Ambient::of(run, &known.phases));
    }

    #[divan::bench]
    fn heat_input(bencher: Bencher) {
        question(bencher, |run, known| HeatInput::of(run, &known.phases));
    }

    #[divan::bench]
    fn log_quality(bencher: Bencher) {
        question(bencher, |run, known| LogQuality::of(run, &known.phases));
    }

    #[divan::bench]
    fn sensor_offset(bencher: Bencher) {
        question(bencher, |run, known| SensorOffset::of(run, &known.phases).is_ok());
    }

    #[divan::bench]
    fn opening(bencher: Bencher) {
        question(bencher, |run, known| Opening::of(run, &known.phases, &known.heat, &known.ambient));
    }

    #[divan::bench]
    fn warm_up(bencher: Bencher) {
        question(bencher, |run, known| WarmUp::of(run, &known.phases, &known.heat, &known.ambient, &known.opening));
    }

    #[divan::bench]
    fn regulation(bencher: Bencher) {
        question(bencher, |run, known| Regulation::of(run, &known.phases, &known.heat, &known.ambient, &known.opening));
    }

    #[divan::bench]
    fn heat_rejection(bencher: Bencher) {
        question(bencher, |run, known| HeatRejection::of(run, &known.phases, &known.heat, &known.ambient, &known.opening));
    }

    #[divan::bench]
    fn boiling_margin(bencher: Bencher) {
        question(bencher, |run, known| BoilingMargin::of(run, &known.phases));
    }

    #[divan::bench]
    fn cooling_down(bencher: Bencher) {
        question(bencher, |run, known| CoolingDown::of(run, &known.phases, &known.ambient));
    }

    #[divan::bench]
    fn level_expansion(bencher: Bencher) {
        question(bencher, |run, known| LevelExpansion::of(run, &known.phases, &known.ambient, known.opening.state, &known.cooling_down));
    }

    #[divan::bench]
    fn level_loss(bencher: Bencher) {
        question(bencher, |run, known| LevelLoss::of(run, &known.phases, &known.ambient, known.opening.state, &known.cooling_down));
    }

    #[divan::bench]
    fn trapped_air(bencher: Bencher) {
        question(bencher, |run, known| {
            let findings = Findings {
                phases: &known.phases,
                heat: &known.heat,
                ambient: &known.ambient,
                opening: &known.opening,
                expansion: &known.level_expansion,
                loss: &known.level_loss,
            };
            TrappedAir::of(run, &findings, PRIOR)
        });
    }

    #[divan::bench]
    fn document(bencher: Bencher) {
        let run = run();
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
