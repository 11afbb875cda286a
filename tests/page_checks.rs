//! The checks of pages, held against pages with one known fault each; then the program's own pages held against the checks.
//!
//! A sound page is changed in one place at a time. The check meant for that change must find it, and no other check may find anything: a
//! checker that cries at everything would pass the first half alone.

#[path = "support/accessible.rs"]
mod accessible;
#[path = "support/browser.rs"]
mod browser;
#[path = "support/made_reports.rs"]
mod made_reports;
#[path = "support/program.rs"]
mod program;

use accessible::{faults, unannounced};
use browser::{Browser, View};
use std::collections::BTreeSet;

/// A page with something of everything, and nothing wrong with it.
const SOUND: &str = include_str!("support/accessible/sound.html");

/// The check that must speak, what is changed in the sound page, and into what.
const FAULTS: &[(&str, &str, &str)] = &[
    ("title", "<title>Drives</title>", "<title> </title>"),
    ("language", "<html lang=\"en\">", "<html>"),
    ("language", "<html lang=\"en\">", "<html lang=\"English please\">"),
    ("language of a part", "<span lang=\"de\">", "<span lang=\"?\">"),
    ("one h1", "<h1>Drives</h1>", "<p>Drives</p>"),
    ("one h1", "<h1>Drives</h1>", "<h1>Drives</h1><h1>Levels</h1>"),
    ("heading order", "<h3>Readings</h3>", "<h4>Readings</h4>"),
    ("empty heading", "<h2>Last</h2>", "<h2></h2>"),
    ("one main", "<main id=\"main\">", "<main id=\"main\"><main>"),
    ("outside landmarks", "</main>", "</main><p>left outside</p>"),
    ("landmark names", "<nav aria-label=\"More\">", "<nav aria-label=\"Pages\">"),
    ("skip link", "<a class=\"skip\" href=\"#main\">To the content</a>", ""),
    ("link within the page", "href=\"#last\"", "href=\"#least\""),
    ("ids", "<p id=\"hint\">", "<p id=\"hint\"></p><p id=\"hint\">"),
    ("references", "aria-describedby=\"hint\"", "aria-describedby=\"hunt\""),
    ("roles", "role=\"status\"", "role=\"stats\""),
    ("roles", "aria-describedby=\"hint\"", "aria-describedby=\"hint\" aria-discribedby=\"hint\""),
    ("hidden stop", "<p id=\"end\">", "<p id=\"end\" aria-hidden=\"true\">"),
    ("nested", "<a href=\"/older\">Older drives</a>", "<a href=\"/older\">Older <button>drives</button></a>"),
    ("no keyboard", "<p id=\"act\">", "<p id=\"act\" role=\"button\" style=\"min-height: 44px\">"),
    ("tab index", "class=\"skip\"", "class=\"skip\" tabindex=\"1\""),
    ("zoom", "initial-scale=1", "initial-scale=1, user-scalable=no"),
    ("zoom", "initial-scale=1", "initial-scale=1, maximum-scale=1"),
    ("refresh", "<title>", "<meta http-equiv=\"refresh\" content=\"900\"><title>"),
    ("frame name", "<p id=\"act\">", "<iframe srcdoc=\"&lt;p&gt;x\"></iframe><p id=\"act\">"),
    ("table headers", "<tr><th scope=\"col\">Time</th><th scope=\"col\">Level</th></tr>", "<tr><td>Time</td><td>Level</td></tr>"),
    ("table headers", "<th scope=\"col\">Time</th>", "<th scope=\"col\"></th>"),
    ("header scope", "<tr><td>cold</td><td>42 mm</td></tr>", "<tr><th>cold</th><td>42 mm</td></tr>"),
    ("table role", "<table id=\"last\"", "<table id=\"last\" role=\"group\""),
    ("table name", "<caption>Readings of the level</caption>", ""),
    ("lists", "<ul><li>one</li></ul>", "<ul><p>one</p></ul>"),
    ("lists", "<ul><li>one</li></ul>", "<div><li>one</li></div>"),
    ("control name", "<label for=\"name\">Name</label>", "<p>Name</p>"),
    ("control name", "<progress aria-label=\"Sent\"", "<progress"),
    ("visible label", "<label for=\"name\">Name</label><input", "<input aria-label=\"Name\""),
    ("group name", "<legend>Kind</legend>", ""),
    ("error tied", "aria-describedby=\"wrong\"", ""),
    ("error tied", "<p id=\"wrong\">", "<p id=\"wrong\" hidden>"),
    ("button name", "<button type=\"submit\">Check</button>", "<button type=\"submit\"></button>"),
    (
        "link name",
        "<a href=\"/older\">Older drives</a>",
        "<a href=\"/older\"><svg aria-hidden=\"true\" width=\"30\" height=\"30\"></svg></a>",
    ),
    ("vague link", "<a href=\"/older\">Older drives</a>", "<a href=\"/older\">Read more</a>"),
    ("label in name", "<button type=\"submit\">Check</button>", "<button type=\"submit\" aria-label=\"Send the form\">Check</button>"),
    ("text alternative", "alt=\"A hose\"", ""),
    ("text alternative", "alt=\"A hose\"", "alt=\"hose.png\""),
    ("text alternative", "<svg role=\"img\" aria-label=\"Level against time\"", "<svg"),
    ("text alternative", "<svg role=\"img\" aria-label=\"Level against time\"", "<svg role=\"img\""),
    ("contrast", "p.note { color: light-dark(#444, #ccc)", "p.note { color: light-dark(#777, #ccc); background: light-dark(#eee, #111)"),
    ("contrast", "p.note { color: light-dark(#444, #ccc)", "p.note { color: light-dark(#444, #555)"),
    ("contrast", "p.note {", "p.note { opacity: 0.5;"),
    ("contrast", "p.note {", "p.note { background: linear-gradient(#fff, #000);"),
    ("contrast", "<p id=\"hint\">", "<p id=\"hint\" style=\"color: oklch(0.75 0 0); background: white\">"),
    ("contrast", "::placeholder { color: light-dark(#555, #bbb)", "::placeholder { color: light-dark(#aaa, #444)"),
    ("contrast", "fill=\"#036\"", "fill=\"#89a\""),
    ("contrast", "h1 { font-size: 28px", "h1 { font-size: 28px; color: light-dark(#999, #555)"),
    ("contrast", "p.note::before { content: \"! \"", "p.note::before { content: \"! \"; color: light-dark(#ccc, #333)"),
    ("edge contrast", "border: 2px solid light-dark(#555, #aaa)", "border: 2px solid light-dark(#ccc, #444)"),
    ("contrast", ":focus-visible {", "button:hover { color: light-dark(#456, #ace) } :focus-visible {"),
    ("broken word", "<p id=\"act\">", "<p class=\"thin\">Inconclusive</p><p id=\"act\">"),
    ("reflow", "width=device-width", "width=900"),
    ("edge contrast", "border: 2px solid light-dark(#555, #aaa)", "border: 0; background: transparent"),
    ("colour alone", "a { ", "main p a { text-decoration: none } a { "),
    ("target size", "<p id=\"act\">", "<p><a class=\"tiny\" href=\"/x\">x</a><a class=\"tiny\" href=\"/y\">y</a></p><p id=\"act\">"),
    ("large target", "min-height: 44px", "min-height: 30px"),
    ("focus visible", ":focus-visible { outline: 3px solid light-dark(#036, #8cf)", ":focus-visible { outline: 0"),
    (
        "focus contrast",
        ":focus-visible { outline: 3px solid light-dark(#036, #8cf)",
        ":focus-visible { outline: 3px solid light-dark(#dde, #223)",
    ),
    ("focus covered", "<p id=\"end\">", "<p class=\"cover\">cookie</p><p id=\"end\">"),
    ("focus order", "<form>", "<form class=\"turned\">"),
    (
        "trap",
        "<p id=\"act\">",
        "<p><input class=\"wide\" id=\"trap\" aria-labelledby=\"act\"></p><script>trap.onkeydown = event => event.preventDefault()</script><p id=\"act\">",
    ),
    (
        "on focus",
        "<p id=\"act\">",
        "<p><button id=\"jump\">Jump</button></p><script>jump.onfocus = () => { location.hash = \"main\" }</script><p id=\"act\">",
    ),
    ("reflow", "<p id=\"act\">", "<p class=\"long\">wide</p><p id=\"act\">"),
    (
        "reflow",
        "<p id=\"act\">",
        "<div class=\"frame\" tabindex=\"0\" role=\"region\" aria-label=\"Frame\"><p class=\"long\">wide</p></div><p id=\"act\">",
    ),
    (
        "scroll by keyboard",
        "<p id=\"act\">",
        "<div class=\"frame\" tabindex=\"-1\"><table class=\"long\"><caption>Far</caption><tr><th>wide</th></tr><tr><td>1</td></tr></table></div><p id=\"act\">",
    ),
    ("text spacing", "<p id=\"act\">", "<p class=\"box\">two lines that just fit their box as they are</p><p id=\"act\">"),
    ("reduced motion", "p.note {", "p.note { transition: color 1s;"),
    ("reduced motion", "p.note {", "@keyframes turn { to { letter-spacing: 1px } } p.note { animation: turn 1s infinite;"),
];

/// Tries every second fault from this one on.
fn try_faults(first: usize) {
    let Some(browser) = Browser::start() else { return };
    let page = browser.page();
    page.show(SOUND);
    let sound = faults(&page);
    assert!(sound.is_empty(), "the sound page: {sound:#?}");
    let mut wrong = Vec::new();
    for (check, from, to) in FAULTS.iter().skip(first).step_by(2) {
        assert!(SOUND.contains(from), "{check}: the sound page has no {from}");
        page.show(&SOUND.replacen(from, to, 1));
        let found = faults(&page);
        let spoke: BTreeSet<&str> = found.iter().map(|fault| fault.check.as_str()).collect();
        if spoke != BTreeSet::from([*check]) {
            let said: Vec<String> = found.iter().map(ToString::to_string).collect();
            wrong.push(format!("{check}, by {to:.60}: found {spoke:?}\n    {}", said.join("\n    ")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Two tests, so that two browsers share the work.
mod each_check_finds_its_fault_and_no_other_speaks {
    #[test]
    fn one_half() {
        super::try_faults(0);
    }

    #[test]
    fn the_other_half() {
        super::try_faults(1);
    }
}

/// Words that appear where nobody is told of them are noticed; in a status line they are in order.
#[test]
fn a_message_that_nobody_hears_is_noticed() {
    let Some(browser) = Browser::start() else { return };
    let page = browser.page();
    page.show(SOUND);
    let say = |selector: &str| page.evaluate(&format!("void (document.querySelector('{selector}').textContent = 'Twelve readings.')"));
    assert_eq!(unannounced(&page, || drop(say("#state"))), []);
    let found = unannounced(&page, || drop(say("#hint")));
    assert_eq!(found.iter().map(|fault| fault.check.as_str()).collect::<Vec<_>>(), ["announced"]);
}

/// Finger, mouse, keyboard, files and what was overheard, each on a page that writes down what reached it.
mod the_driver {
    use super::*;

    const LISTENS: &str = r#"<!doctype html><html lang="en"><meta name="viewport" content="width=device-width"><title>x</title>
        <p><input id="entry"><input type="file" id="file"><button id="button">Press</button><p id="said"></p>
        <p id="zone" style="height:90px;border:1px solid">here</p><p id="under">under</p><script>
        const say = text => { document.getElementById('said').append(text + ';'); };
        button.onclick = event => say('click ' + event.pointerType);
        entry.oninput = () => say('input ' + entry.value);
        file.onchange = async () => say('file ' + file.files[0].name + ' ' + await file.files[0].text());
        zone.ondragover = event => event.preventDefault();
        zone.ondrop = async event => { event.preventDefault(); say('drop ' + await event.dataTransfer.files[0].text()); };
        document.onkeydown = event => say('key ' + event.key);
        </script>"#;

    fn said(page: &browser::Page, what: &str) {
        page.wait_until(&format!("document.getElementById('said').textContent.includes({what:?})"), what);
    }

    #[test]
    fn acts_as_a_person_does() {
        let Some(browser) = Browser::start() else { return };
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let file = folder.path().join("log.csv");
        std::fs::write(&file, "time,temp").expect("the folder can be written");
        let page = browser.page();
        page.seen_on(View::Desk);
        page.show(LISTENS);
        page.click("#button");
        said(&page, "click mouse");
        page.enter("#entry", "42 mm");
        said(&page, "input 42 mm");
        page.press("Tab");
        said(&page, "key Tab");
        page.choose("#file", &[&file]);
        said(&page, "file log.csv time,temp");
        page.drop_file("#zone", &file);
        said(&page, "drop time,temp");
        page.seen_on(View::Phone);
        page.tap("#button");
        said(&page, "click touch");
        assert!(page.told().contains(&("button".to_owned(), "Press".to_owned())));
        assert_eq!(browser::sheets(&page.pdf()), 1);
    }

    #[test]
    fn hears_complaints_and_sees_what_leaves() {
        let Some(browser) = Browser::start() else { return };
        let page = browser.page();
        page.open("data:text/html,<title>x</title><body>x<script>console.error('told so'); nothing.here</script>");
        page.evaluate("fetch('http://127.0.0.1:9/').catch(() => 0)");
        let complaints = page.complaints().join("\n");
        assert!(complaints.contains("told so") && complaints.contains("nothing is not defined"), "{complaints}");
        assert_eq!(page.strays("http://127.0.0.1:1"), ["http://127.0.0.1:9/"]);
        page.scripts(false);
        page.open("data:text/html,<title>y</title><body>quiet<script>document.body.append('loud')</script>");
        assert_eq!(page.words("body"), "quiet");
    }

    /// The profile and the process are gone once the test is.
    #[test]
    fn leaves_nothing_behind() {
        let Some(browser) = Browser::start() else { return };
        browser.page().show(LISTENS);
        let profile = browser.profile();
        assert!(profile.exists());
        drop(browser);
        assert!(!profile.exists());
    }
}

/// The pages that the program writes to files.
mod written_pages {
    use super::*;
    use accessible::Fault;
    use wellbled::report::summary::Facts;
    use wellbled::report::{html, summary};

    /// A file is read on a laptop with a mouse: there its one fold may be lower than a gloved finger asks, but not on a telephone.
    fn is_known(fault: &Fault) -> bool {
        let fold = fault.check == "large target" && fault.place.starts_with("summary") && fault.what.starts_with("886 ");
        // Names of columns stand in the same narrow cells as ordinary words, and must not break the frame.
        let cell = fault.check == "broken word" && (fault.place.starts_with("td ") || fault.place.starts_with("th "));
        // The job card is a sheet of paper, shown as it will be printed; the plan says the same in text that flows.
        fold || cell || (fault.check == "reflow" && fault.what.starts_with("is laid out 800 px wide"))
    }

    fn wrong(page: &browser::Page, name: &str) -> Vec<String> {
        faults(page).iter().filter(|fault| !is_known(fault)).map(|fault| format!("{name}: {fault}")).collect()
    }

    #[test]
    fn reports_and_summaries_are_sound() {
        let Some(browser) = Browser::start() else { return };
        let page = browser.page();
        let mut found = Vec::new();
        for (name, report) in made_reports::samples() {
            let facts = Facts { vehicle: Some("the spare shuttle".to_owned()), ..Facts::default() };
            page.show(&html::render(&report).expect("a page"));
            found.extend(wrong(&page, &format!("report of {name}")));
            page.show(&summary::render(&report, &facts).expect("a page"));
            found.extend(wrong(&page, &format!("summary of {name}")));
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    }

    #[test]
    fn the_job_card_is_sound() {
        let Some(browser) = Browser::start() else { return };
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let card = folder.path().join("card.html");
        let path = card.to_string_lossy();
        program::wellbled(&["plan", "--capacity", "9.2L", "--drained", "4.5L", "--present", "50%", "--wanted", "-30C", "--card", &path]);
        let page = browser.page();
        page.show(&std::fs::read_to_string(&card).expect("the card was written"));
        let found = wrong(&page, "job card");
        assert!(found.is_empty(), "{}", found.join("\n"));
    }
}
