//! The pages of `serve` as a person uses them, in a real browser: by finger, mouse, keyboard and without a script.
//!
//! Each journey starts the program with an empty store, and ends with what holds everywhere: nothing was asked of any other machine, the
//! content policy was not offended, no script failed. Every page that a journey comes to is held against the accessibility checks
//! (`support/accessible.rs`), those that a person reads long in the pictures of `WELLBLED_PICTURES`, a folder, if it is set.

#[path = "support/accessible.rs"]
mod accessible;
#[path = "support/browser.rs"]
mod browser;
#[path = "support/program.rs"]
mod program;
#[path = "support/served.rs"]
mod served;

use browser::{Browser, Page, View, sheets};
use program::sample;
use served::Served;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A program, a browser, and files of the visitor's.
struct Bench {
    served: Served,
    browser: Browser,
    files: TempDir,
}

impl Bench {
    /// None without a browser.
    fn set() -> Option<Self> {
        let browser = Browser::start()?;
        Some(Self { served: Served::start(), browser, files: tempfile::tempdir().expect("a temporary folder can be made") })
    }

    /// A visitor on a laptop, at the start page.
    fn visit(&self) -> Page<'_> {
        let page = self.browser.page();
        page.seen_on(View::Desk);
        page.still(true);
        page.open(&self.served.at("/"));
        page
    }

    /// A file of the visitor's.
    fn file(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.files.path().join(name);
        std::fs::write(&path, bytes).expect("the folder can be written");
        path
    }

    /// What holds of every visit: nothing leaves the program, nothing is complained of.
    fn quiet(&self, page: &Page) {
        let strays = page.strays(self.served.origin());
        assert!(strays.is_empty(), "asked of others: {strays:?}");
        let complaints = page.complaints();
        assert!(complaints.is_empty(), "complaints: {complaints:#?}");
    }
}

/// Holds the page against the accessibility checks, and pictures it if asked to.
fn look(page: &Page, name: &str) {
    if let Some(folder) = std::env::var_os("WELLBLED_PICTURES") {
        for (view, dark, kind) in [(View::Phone, false, "phone"), (View::Phone, true, "phone-dark"), (View::Desk, false, "desk")] {
            page.seen_on(view);
            page.dark(dark);
            page.picture(&Path::new(&folder).join(format!("{name}-{kind}.png")));
        }
    }
    accessible::sound(page, name);
}

/// Sends the form that the button belongs to, and waits for the answer.
fn send(page: &Page, button: &str) {
    page.follows(|| page.click(button));
}

/// Checks a sample with its vehicle and notes from the start page; the page of the verdict is there at the end.
fn check_sample(page: &Page, story: &str) {
    unfold(page);
    page.choose("#log", &[&sample(&format!("{story}/log.csv"))]);
    page.choose("#notes", &[&sample(&format!("{story}/levels.csv"))]);
    page.choose("#vehicle_file", &[&sample(&format!("{story}/vehicle.toml"))]);
    send(page, "#go");
    page.wait_for("#result");
}

/// Opens everything that is folded.
fn unfold(page: &Page) {
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })");
}

/// Whether the element, or what is in it, has the focus.
fn has_focus(page: &Page, selector: &str) -> bool {
    page.holds(&format!("document.querySelector('{selector}').contains(document.activeElement)"))
}

/// A log with two columns that could be the coolant's temperature.
fn two_minds() -> String {
    let rows: String = (0..1200).map(|s| format!("{s},{},{}\n", 20 + (s / 12).min(68), 18 + (s / 14).min(66))).collect();
    format!("time (s),temp 1 (°C),temp 2 (°C)\n{rows}")
}

mod first_visit {
    use super::*;

    #[test]
    fn a_chosen_log_leads_to_the_verdict() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        look(&page, "start");
        page.choose("#log", &[&sample("bakery-van/log.csv")]);
        send(&page, "#go");
        page.wait_for("#result");
        assert_eq!(page.evaluate("document.querySelectorAll('h1').length"), 1);
        assert!(page.words("#result").to_lowercase().contains("pass") || page.words("#result").to_lowercase().contains("inconclusive"));
        look(&page, "verdict");
        bench.quiet(&page);
    }

    #[test]
    fn a_log_let_go_over_the_page_is_taken() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        page.drop_file("#drop", &sample("trapped-air/log.csv"));
        page.wait_until("document.querySelector('#log').files.length === 1 || document.querySelector('#result')", "the log is taken");
        if page.has("#log") {
            assert_eq!(page.text_of("document.querySelector('#log').files[0].name"), "log.csv");
            send(&page, "#go");
        }
        page.wait_for("#result");
        bench.quiet(&page);
    }

    #[test]
    fn everything_works_without_a_script() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        page.scripts(false);
        page.open(&bench.served.at("/"));
        check_sample(&page, "trapped-air");
        assert!(page.words("#result").to_lowercase().contains("recheck"), "{}", page.words("#result"));
        send(&page, "#keep-button");
        assert!(page.words("main").contains("kept"));
        page.open(&bench.served.at("/runs"));
        assert!(page.words("main table").contains("recheck"));
        page.open(&bench.served.at("/try"));
        send(&page, "#go");
        page.wait_for("#made-up");
        bench.quiet(&page);
    }

    #[test]
    fn levels_alone_give_an_account() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        page.enter("#cold_before", "42 mm");
        page.enter("#hot_after", "56 mm");
        page.enter("#cold_after", "40 mm");
        send(&page, "#go");
        page.wait_for("#result");
        look(&page, "levels");
        bench.quiet(&page);
    }
}

mod wrong_files {
    use super::*;

    /// What the page says of a file that is no log; the error can be reached and read at once.
    fn refused(bench: &Bench, name: &str, bytes: &[u8]) -> String {
        let page = bench.visit();
        let file = bench.file(name, bytes);
        page.choose("#log", &[&file]);
        send(&page, "#go");
        page.wait_for("#errors");
        page.wait_until("document.querySelector('#errors').contains(document.activeElement)", "the error has the focus");
        let said = page.words("#errors");
        let leads = page.evaluate(
            "[...document.querySelectorAll('#errors a[href^=\"#\"]')].every(one => document.querySelector(one.getAttribute('href')))",
        );
        assert_eq!(leads, true, "a link of the error leads nowhere");
        look(&page, &format!("wrong-{}", name.replace('.', "-")));
        bench.quiet(&page);
        said
    }

    #[test]
    fn a_picture_an_empty_file_and_a_log_without_coolant_are_told_apart() {
        let Some(bench) = Bench::set() else { return };
        let picture = refused(&bench, "photo.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\x06\0\0\0");
        let empty = refused(&bench, "empty.csv", b"");
        let rows: String = (0..600).map(|s| format!("{s},{},{}\n", 800 + s, s % 60)).collect();
        let without = refused(&bench, "engine.csv", format!("time (s),engine speed (rpm),vehicle speed (km/h)\n{rows}").as_bytes());
        assert!(without.contains("coolant"), "{without}");
        assert!(picture != empty && empty != without, "{picture}\n{empty}");
    }

    #[test]
    fn nothing_at_all_is_told_too() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        page.evaluate("void document.querySelectorAll('[required]').forEach(one => { one.required = false; })");
        send(&page, "#go");
        page.wait_for("#errors");
        look(&page, "nothing");
        bench.quiet(&page);
    }

    #[test]
    fn a_level_without_a_unit_is_tied_to_its_entry() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        page.enter("#cold_before", "tall");
        page.choose("#log", &[&sample("bakery-van/log.csv")]);
        send(&page, "#go");
        page.wait_for("#errors");
        assert_eq!(page.text_of("document.querySelector('#cold_before').getAttribute('aria-invalid')"), "true");
        page.click("#errors a[href=\"#cold_before\"]");
        assert!(page.holds("document.activeElement.id === 'cold_before'"), "the link leads to the entry");
        look(&page, "wrong-level");
        page.enter("#cold_before", "47 mm");
        send(&page, "#go");
        page.wait_for("#result");
        bench.quiet(&page);
    }
}

#[test]
fn a_tap_says_which_column_is_the_coolant() {
    let Some(bench) = Bench::set() else { return };
    let page = bench.visit();
    let file = bench.file("two.csv", two_minds().as_bytes());
    page.choose("#log", &[&file]);
    send(&page, "#go");
    page.wait_for("input[name=column_coolant_temperature]");
    look(&page, "columns");
    page.seen_on(View::Phone);
    page.tap("label:has(input[value=\"#2\"])");
    assert!(page.holds("document.querySelector('input[value=\"#2\"]').checked"));
    page.follows(|| page.tap("#go"));
    page.wait_for("#result");
    bench.quiet(&page);
}

mod kept {
    use super::*;

    /// Two drives of one vehicle, kept; the second's page is there at the end.
    fn keep_two(bench: &Bench, page: &Page) {
        let vehicle = bench.file("van.toml", &std::fs::read(sample("bakery-van/vehicle.toml")).expect("a sample"));
        let log = std::fs::read_to_string(sample("bakery-van/log.csv")).expect("a sample");
        // The same drive in another minute: the last row is left out.
        let other = bench.file("again.csv", log.trim_end().rsplit_once('\n').expect("it has rows").0.as_bytes());
        for log in [sample("bakery-van/log.csv"), other] {
            page.open(&bench.served.at("/"));
            unfold(page);
            page.choose("#log", &[&log]);
            page.choose("#vehicle_file", &[&vehicle]);
            send(page, "#go");
            page.wait_for("#result");
            send(page, "#keep-button");
            page.wait_for("#levels");
        }
    }

    #[test]
    fn runs_are_kept_listed_added_to_and_compared() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        keep_two(&bench, &page);
        assert!(page.words("main").contains("kept"));
        look(&page, "run");
        page.enter("#cold_after", "46 mm");
        send(&page, "#add");
        assert!(page.words("main").contains("added"), "{}", page.words("main"));
        look(&page, "run-added");
        page.follows(|| page.click("#history-link"));
        look(&page, "history");
        page.open(&bench.served.at("/runs"));
        assert_eq!(page.evaluate("document.querySelectorAll('main table tbody tr').length"), 2);
        look(&page, "runs");
        page.follows(|| page.click("main table tbody a"));
        page.follows(|| page.click("#compare"));
        look(&page, "compared");
        bench.quiet(&page);
    }

    #[test]
    fn the_whole_report_prints() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        check_sample(&page, "trapped-air");
        page.follows(|| page.click("#report-link"));
        let count = sheets(&page.pdf());
        assert!((2..=8).contains(&count), "{count} sheets");
        bench.quiet(&page);
    }
}

#[test]
fn a_story_is_driven_and_marked_as_made_up() {
    let Some(bench) = Bench::set() else { return };
    let page = bench.visit();
    page.open(&bench.served.at("/try"));
    look(&page, "try");
    page.click("label:has(input[value=\"trapped-air\"])");
    send(&page, "#go");
    page.wait_for("#made-up");
    assert!(!page.has("#keep-button"), "a made-up drive is not kept among real ones");
    look(&page, "made-up");
    bench.quiet(&page);
}

#[test]
fn a_plan_leads_to_a_card_of_one_sheet() {
    let Some(bench) = Bench::set() else { return };
    let page = bench.visit();
    page.open(&bench.served.at("/plan"));
    look(&page, "plan");
    send(&page, "#go");
    page.wait_for("#errors");
    look(&page, "plan-wrong");
    for (field, text) in [("capacity", "9.2 L"), ("drained", "4.5 L"), ("present", "50 %"), ("wanted", "-30 °C")] {
        page.enter(&format!("#{field}"), text);
    }
    send(&page, "#go");
    page.wait_for("#result");
    look(&page, "planned");
    page.follows(|| page.click("#card-link"));
    assert_eq!(sheets(&page.pdf()), 1, "sheets of the job card");
    bench.quiet(&page);
}

mod with_the_script {
    use super::*;

    #[test]
    fn a_level_is_read_while_it_is_typed_and_the_answer_is_announced() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        let unheard = accessible::unannounced(&page, || {
            page.enter("#cold_before", "tall");
            page.wait_until("document.querySelector('#cold_before').getAttribute('aria-invalid') === 'true'", "it is marked wrong");
        });
        assert_eq!(unheard, []);
        look(&page, "typed-wrong");
        page.enter("#cold_before", "42 mm");
        page.wait_until("!document.querySelector('#cold_before').hasAttribute('aria-invalid')", "it is no longer marked wrong");
        bench.quiet(&page);
    }

    #[test]
    fn values_are_read_off_the_plot_by_mouse_finger_and_keyboard() {
        let Some(bench) = Bench::set() else { return };
        let page = bench.visit();
        check_sample(&page, "bakery-van");
        page.wait_for(".readout output");
        let said = || page.words(".readout output");
        let unheard = accessible::unannounced(&page, || page.hover("figure .wide svg"));
        assert_eq!(unheard, []);
        let by_mouse = said();
        assert!(by_mouse.contains("°C"), "{by_mouse}");
        page.seen_on(View::Phone);
        page.tap("figure .narrow svg");
        page.wait_until(&format!("document.querySelector('.readout output').innerText !== {by_mouse:?}"), "the finger reads another value");
        page.evaluate("document.querySelector('.readout input').focus()");
        let by_finger = said();
        page.press("ArrowRight");
        page.wait_until(&format!("document.querySelector('.readout output').innerText !== {by_finger:?}"), "the key reads another value");
        assert!(page.text_of("document.querySelector('.readout input').getAttribute('aria-valuetext')").contains("°C"));
        bench.quiet(&page);
    }
}

/// Every step by the keyboard: Tab to the entry, Enter to send, links by Enter.
#[test]
fn the_keyboard_is_enough() {
    let Some(bench) = Bench::set() else { return };
    let page = bench.visit();
    page.press("Tab");
    assert!(has_focus(&page, ".skip"), "the first stop leads past the navigation");
    page.press("Enter");
    page.wait_until("location.hash === '#main'", "the main part");
    // The dialogue of the system is not the page's; the file is put in as it would.
    tab_to(&page, "#log");
    page.choose("#log", &[&sample("bakery-van/log.csv")]);
    tab_to(&page, "#cold_before");
    page.write("47 mm");
    tab_to(&page, "#go");
    page.follows(|| page.press("Enter"));
    page.wait_for("#result");
    tab_to(&page, "#keep-button");
    page.follows(|| page.press("Space"));
    page.wait_for("#levels");
    tab_to(&page, "#cold_after");
    page.write("46 mm");
    page.follows(|| page.press("Enter"));
    assert!(page.words("main").contains("added"));
    bench.quiet(&page);
}

/// Presses Tab until the element has the focus.
fn tab_to(page: &Page, selector: &str) {
    for _ in 0..150 {
        if has_focus(page, selector) {
            return;
        }
        page.press("Tab");
    }
    panic!("the Tab key does not come to {selector}");
}

/// Where a person comes who has lost the way.
#[test]
fn pages_of_last_resort_are_sound() {
    let Some(bench) = Bench::set() else { return };
    let page = bench.visit();
    for (path, name) in
        [("/help", "help"), ("/nowhere", "nowhere"), ("/runs", "no-runs"), ("/check/0123456789abcdef0123456789abcdef", "gone")]
    {
        page.open(&bench.served.at(path));
        look(&page, name);
    }
    bench.quiet(&page);
}
