//! Pages as a browser shows them: nothing runs out of its frame or over its neighbour, at 360 px, at 1280 px and on paper.
//!
//! Needs Chromium on the path (`chromium`, `chromium-browser` or `google-chrome`); without one the tests say so and check nothing. A page
//! of the test loads the report in a frame of the asked width, measures every word that can be seen, and writes what it finds into its
//! own text, which the browser prints. The report itself runs no script.

#[path = "support/made_reports.rs"]
mod made_reports;
#[path = "support/report_fixture.rs"]
mod report_fixture;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use wellbled::report::document::Document;
use wellbled::report::summary::Facts;
use wellbled::report::{customary, html, summary};

/// The browser, if there is one.
fn chromium() -> Option<&'static str> {
    static FOUND: OnceLock<Option<&str>> = OnceLock::new();
    let runs = |name: &&str| {
        Command::new(name).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|status| status.success())
    };
    *FOUND.get_or_init(|| {
        let found = ["chromium", "chromium-browser", "google-chrome"].into_iter().find(runs);
        if found.is_none() {
            println!("skipped: no Chromium on the path, so no page was looked at");
        }
        found
    })
}

/// Starts the browser on a page with a profile of its own; what it prints.
fn browse(folder: &Path, page: &str, arguments: &[&str]) -> String {
    let mut command = Command::new(chromium().expect("asked for only where there is one"));
    command.args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars", "--no-first-run"]);
    command.arg("--allow-file-access-from-files").arg(format!("--user-data-dir={}", folder.join("profile").display()));
    command.args(arguments).arg(format!("file://{}", folder.join(page).display())).current_dir(folder);
    let done = command.stderr(Stdio::null()).output().expect("the browser starts");
    String::from_utf8_lossy(&done.stdout).into_owned()
}

/// Measures a page from outside: what is wider than its frame, and which words lie on others. A word's box is taken three pixels
/// smaller on each side than the browser gives it, because lines of one paragraph touch.
const MEASURE: &str = r#"<!doctype html><meta charset="utf-8"><body><pre id="said">not measured</pre>
<iframe id="frame" src="PAGE" style="border:0;width:WIDTHpx;height:900px"></iframe>
<script>
document.getElementById('frame').onload = function () {
  const page = this.contentDocument, view = this.contentWindow, faults = [], words = [];
  page.querySelectorAll('details').forEach(one => one.open = true);
  const width = page.documentElement.clientWidth;
  if (width !== WIDTH) faults.push('the frame is ' + width + ' wide');
  if (page.documentElement.scrollWidth > width) faults.push('scrolls sideways: ' + page.documentElement.scrollWidth);
  const walker = page.createTreeWalker(page.body, NodeFilter.SHOW_TEXT);
  for (let node; node = walker.nextNode();) {
    if (!node.data.trim() || ['STYLE', 'SCRIPT'].includes(node.parentElement.tagName)) continue;
    const range = page.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) {
      if (box.width < 1 || box.height < 1) continue;
      const said = (node.parentElement.closest('svg') ? 'in the plot, ' : '') + node.data.trim().slice(0, 40);
      if (box.right > width + 0.5 || box.left < -0.5) faults.push('out of the page: ' + said);
      const slack = Math.min(3, box.height / 4);
      words.push({left: box.left + 1, right: box.right - 1, top: box.top + slack, bottom: box.bottom - slack, node, said});
    }
    const card = node.parentElement.closest('main > *');
    if (card) {
      const frame = card.getBoundingClientRect();
      for (const box of range.getClientRects()) if (box.width > 1 && box.right > frame.right + 0.5 && !node.parentElement.closest('svg')) faults.push('out of its card: ' + node.data.trim().slice(0, 40));
    }
  }
  words.sort((a, b) => a.top - b.top);
  for (let i = 0; i < words.length; i++) for (let j = i + 1; j < words.length && words[j].top < words[i].bottom; j++) {
    const a = words[i], b = words[j];
    if (a.node !== b.node && a.left < b.right && b.left < a.right) faults.push('"' + a.said + '" lies on "' + b.said + '"');
  }
  document.getElementById('said').textContent = words.length + ' pieces of text\n' + faults.join('\n') + '\nend';
};
</script>"#;

/// Faults that the browser finds in a page of this width.
fn faults(folder: &Path, page: &str, width: u32) -> Vec<String> {
    let outer = format!("measure-{width}-{page}");
    std::fs::write(folder.join(&outer), MEASURE.replace("PAGE", page).replace("WIDTH", &width.to_string()))
        .expect("the folder can be written");
    let dom = browse(folder, &outer, &["--window-size=1400,1000", "--virtual-time-budget=10000", "--dump-dom"]);
    let said = dom.split_once("<pre id=\"said\">").and_then(|(_, rest)| rest.split_once("</pre>")).map_or("", |(said, _)| said).to_owned();
    let mut lines = said.lines();
    let measured = lines.next().and_then(|line| line.split_once(" pieces")).and_then(|(count, _)| count.parse::<usize>().ok());
    assert!(measured.is_some_and(|count| count > 40) && said.ends_with("end"), "{page} at {width} was not measured: {said}");
    lines.filter(|line| !line.is_empty() && *line != "end").map(str::to_owned).collect()
}

/// Pages of a PDF, counted in its page tree.
fn pages(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    text.matches("/Type /Page").count() - text.matches("/Type /Pages").count()
}

fn printed(folder: &Path, page: &str) -> usize {
    let file = folder.join(format!("{page}.pdf"));
    browse(folder, page, &["--no-pdf-header-footer", &format!("--print-to-pdf={}", file.display())]);
    pages(&std::fs::read(&file).expect("the browser writes a PDF"))
}

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("wellbled-rendered-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a temporary folder can be made");
        Self(folder)
    }

    fn write(&self, page: &str, text: &str) {
        std::fs::write(self.0.join(page), text).expect("the folder can be written");
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        drop(std::fs::remove_dir_all(&self.0));
    }
}

/// Facts as long as a workshop writes them.
fn facts() -> Facts {
    Facts {
        vehicle: Some("the ferry company's spare shuttle, the one with the rear heater".to_owned()),
        date: Some("2026-03-02".to_owned()),
        odometer: Some(Facts::kilometres(128_400.0)),
        coolant: Some("ethylene glycol, organic, 50 % by volume".to_owned()),
        volumes: Some("10.05 L drained, 9.65 L filled, 0.15 L added".to_owned()),
        next_due: Some("2031-03, or at 260 000 km, whichever comes first".to_owned()),
        ask: Some("the yard by the harbour, 555-0100, before nine".to_owned()),
    }
}

/// Everything that a verdict can say at once: every step, every caution, the longest reasons.
fn fullest() -> Document {
    use wellbled::verdict::advice::Advice;
    use wellbled::verdict::cautions::Caution::{Exhaust, Fan, Glycol, HotCap, Maker, Overheating, Raised, Recorder};
    let mut document = report_fixture::document();
    let steps =
        [Advice::BleedAgain, Advice::FastIdle, Advice::AnotherCycle, Advice::LookOutside, Advice::NoteRefill, Advice::TestThermostat];
    document.next_steps = steps.map(|step| step.text().to_owned()).to_vec();
    document.cautions =
        [Overheating, HotCap, Fan, Exhaust, Raised, Glycol, Recorder, Maker].map(|caution| caution.text().to_owned()).to_vec();
    for reason in document.reasons.iter_mut().take(3) {
        reason.statement = "Opened at 85.3 °C (82.3 to 88.2) after 8:17 min. Allowing for the wax's lag, the valve starts at 81.3 °C (79.3 to 83.2); a part \
            stamped 82 °C should start between 78 and 86 °C. That is within what the readings can tell, and the whole interval lies inside the limits of a \
            part that works."
            .to_owned();
    }
    if let Some(account) = &mut document.level_account {
        account.in_brief.insert(0, "Hot, the level should rise by 303 mL (160 to 447); it rose by 80 mL (28 to 132).".to_owned());
    }
    document
}

fn reports() -> Vec<made_reports::Named> {
    let mut reports = made_reports::samples();
    let us: Vec<_> = reports.iter().take(2).map(|(name, report)| (format!("{name}-us"), customary::document(report))).collect();
    reports.extend(us);
    reports.push(("fullest".to_owned(), fullest()));
    reports
}

#[test]
fn nothing_overflows_or_overlaps_on_a_phone_and_on_a_wide_screen() {
    if chromium().is_none() {
        return;
    }
    let folder = Folder::new("screen");
    let mut found = Vec::new();
    for (name, report) in reports() {
        folder.write("report.html", &html::render(&report).expect("a page"));
        folder.write("summary.html", &summary::render(&report, &facts()).expect("a page"));
        for page in ["report.html", "summary.html"] {
            for width in [360, 1280] {
                found.extend(faults(&folder.0, page, width).into_iter().map(|fault| format!("{name}, {page}, {width} px: {fault}")));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// A fleet of every sample, with names as long as anybody's, and a log that could not be read.
#[test]
fn the_fleet_s_page_fits_a_phone_and_a_wide_screen() {
    use wellbled::fleet::row::NotRead;
    use wellbled::fleet::{Answer, Found, Row, Table, html};
    if chromium().is_none() {
        return;
    }
    let row = |log: &str, answer: Answer| Row {
        log: log.to_owned(),
        sha256: String::new(),
        vehicle_file: String::new(),
        levels_file: String::new(),
        remark: "level notes of another log could be meant (levels.csv), so none was taken".to_owned(),
        program: String::new(),
        answer,
    };
    let mut rows: Vec<Row> = reports()
        .iter()
        .map(|(name, report)| row(&format!("north/{name}.csv"), Answer::Checked(Box::new(Found::of(&Default::default(), report)))))
        .collect();
    let unread = NotRead { why: "y".repeat(300), hint: "z".repeat(300) };
    rows.push(row(&"x".repeat(300), Answer::NotRead(unread)));
    let folder = Folder::new("fleet");
    folder.write("fleet.html", &html::render(&Table::of(rows)));
    let found: Vec<String> = [360, 1280].into_iter().flat_map(|width| faults(&folder.0, "fleet.html", width)).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// What a log may contain breaks no frame either; the plot cuts such words at its edge.
#[test]
fn names_without_a_space_break_no_frame() {
    if chromium().is_none() {
        return;
    }
    let folder = Folder::new("names");
    let mut report = report_fixture::hostile();
    report.title = "W".repeat(400);
    report.run.source = "x".repeat(300);
    folder.write("report.html", &html::render(&report).expect("a page"));
    let facts = Facts { vehicle: Some("W".repeat(400)), ask: Some("y".repeat(400)), ..facts() };
    folder.write("summary.html", &summary::render(&report, &facts).expect("a page"));
    for page in ["report.html", "summary.html"] {
        let wrong: Vec<String> = [360, 1280]
            .into_iter()
            .flat_map(|width| faults(&folder.0, page, width))
            .filter(|fault| !fault.contains("in the plot"))
            .collect();
        assert!(wrong.is_empty(), "{page}: {}", wrong.join("\n"));
    }
}

#[test]
fn the_summary_is_one_sheet_of_a4_and_of_letter() {
    if chromium().is_none() {
        return;
    }
    let folder = Folder::new("paper");
    for (name, report) in reports() {
        let page = summary::render(&report, &facts()).expect("a page");
        for size in ["A4", "letter"] {
            folder.write("summary.html", &page.replace("@page {", &format!("@page {{ size: {size};")));
            assert_eq!(printed(&folder.0, "summary.html"), 1, "{name} on {size}");
        }
    }
}

#[test]
fn the_report_on_paper_keeps_to_a_few_sheets() {
    if chromium().is_none() {
        return;
    }
    let folder = Folder::new("sheets");
    for (name, report) in reports() {
        folder.write("report.html", &html::render(&report).expect("a page"));
        let sheets = printed(&folder.0, "report.html");
        assert!((2..=8).contains(&sheets), "{name}: {sheets} sheets");
    }
}

/// The checks notice what they are for.
#[test]
fn a_page_that_overflows_or_overlaps_is_noticed() {
    if chromium().is_none() {
        return;
    }
    let folder = Folder::new("broken");
    let text: String = (0..60).map(|n| format!("<p>line {n}</p>")).collect();
    folder.write("wide.html", &format!("<!doctype html><body>{text}<p style=\"width:700px\">wide</p>"));
    assert!(faults(&folder.0, "wide.html", 360).iter().any(|fault| fault.starts_with("scrolls sideways")));
    folder.write("over.html", &format!("<!doctype html><body>{text}<p>below</p><p style=\"margin-top:-2.1em\">above</p>"));
    assert!(faults(&folder.0, "over.html", 360).iter().any(|fault| fault.contains("lies on")));
    let sheets: String = (0..3).map(|_| "<p style=\"break-after:page\">sheet</p>").collect();
    folder.write("sheets.html", &format!("<!doctype html><body>{sheets}end"));
    assert_eq!(printed(&folder.0, "sheets.html"), 4);
}
