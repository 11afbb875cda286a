//! Whether everybody can use a page: checks by the Web Content Accessibility Guidelines (WCAG) 2.2, levels A and AA.
//!
//! Job: name what is wrong with a page as a browser shows it, each fault with the success criterion that it fails.
//!
//! Method: the checks are written in the page's own language (`accessible/*.js`) and run in the page; names and roles are those that the
//! browser tells assistive technology. Contrast is reckoned from computed styles, with what lies behind a text resolved through its
//! ancestors, in a drawing through the shapes below it, in light and in dark. Order, traps and the visible focus are tried with the Tab
//! key itself. Two goals are the project's own and not part of level AA: targets of 44 pixels (2.5.5) and stillness where it is asked
//! for (2.3.3).
//!
//! Limits: whether a name or a text is a good one, a person must judge. Looks under the mouse, moving pictures and sound are not looked at.
//!
//! # References
//!
//! - W3C Recommendation Web Content Accessibility Guidelines (WCAG) 2.2. Numbers of criteria are its.
//! - W3C Recommendation Accessible Rich Internet Applications (WAI-ARIA) 1.2: roles and attributes.
#![allow(dead_code, reason = "not every test of pages needs every check")]

use super::browser::{Page, View};
use serde_json::Value;
use std::fmt;

/// Something wrong.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The check that found it.
    pub check: String,
    /// Number of the success criterion.
    pub criterion: String,
    /// The element.
    pub place: String,
    /// What is wrong with it.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "{} {}: {}: {}", self.criterion, self.check, self.place, self.what)
    }
}

/// What the checks share, and the checks.
const CHECKS: [&str; 8] = [
    include_str!("accessible/common.js"),
    include_str!("accessible/structure.js"),
    include_str!("accessible/names.js"),
    include_str!("accessible/colour.js"),
    include_str!("accessible/targets.js"),
    include_str!("accessible/fit.js"),
    include_str!("accessible/keyboard.js"),
    include_str!("accessible/announced.js"),
];

/// What the checks offer.
const OFFERED: &str = "structure, names, textContrast, shapeContrast, colourAlone, underMouse, targets, reflow, brokenWords, scrollable, spacing, motion, step, missed, \
    watch, unheard, taken";

/// What an expression gives in which `c` holds the checks. They are put into a page once.
fn ask(page: &Page, expression: &str) -> Value {
    let asked = format!("window.wellbledChecks ? (c => {expression})(window.wellbledChecks) : 'absent'");
    let answer = page.evaluate(&asked);
    if answer != "absent" {
        return answer;
    }
    page.evaluate(&format!("void (window.wellbledChecks = (() => {{ {} return {{ {OFFERED} }}; }})())", CHECKS.join("\n")));
    page.evaluate(&asked)
}

/// Runs some of the checks.
fn run(page: &Page, calls: &str) -> Value {
    let calls = calls.split("; ").map(|call| format!("c.{call}")).collect::<Vec<_>>().join("; ");
    ask(page, &format!("{{ {calls}; return c.taken(); }}"))
}

fn read(found: &Value) -> Vec<Fault> {
    let text = |one: &Value, member: &str| one[member].as_str().unwrap_or_default().to_owned();
    let fault =
        |one| Fault { check: text(one, "check"), criterion: text(one, "criterion"), place: text(one, "place"), what: text(one, "what") };
    found.as_array().expect("the checks give a list").iter().map(fault).collect()
}

/// Everything that is wrong with the page as it stands, on a telephone and on a laptop, in light and in dark, without repetitions.
///
/// Folded parts are unfolded first. The page is left on a laptop in light.
pub fn faults(page: &Page) -> Vec<Fault> {
    let mut found = Vec::new();
    let mut look = |calls: &str| found.extend(read(&run(page, calls)));
    let reflow = |screen: u32| format!("reflow('reflow', '1.4.10', {screen})");
    page.still(true);
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })");
    page.seen_on(View::Desk);
    page.dark(true);
    look("textContrast(); shapeContrast()");
    page.dark(false);
    look("structure(); names(); textContrast(); shapeContrast(); colourAlone(); targets(); scrollable(); motion()");
    page.seen_on(View::Narrow);
    look(&format!("{}; scrollable()", reflow(320)));
    page.seen_on(View::Phone);
    page.dark(true);
    look("textContrast()");
    page.dark(false);
    look(&format!("{}; brokenWords(); targets(); textContrast(); shapeContrast(); spacing()", reflow(360)));
    found.extend(walked(page, true));
    page.seen_on(View::Desk);
    page.dark(true);
    found.extend(walked(page, false));
    found.extend(under_mouse(page));
    page.dark(false);
    found.sort();
    found.dedup();
    found
}

/// Contrast of what acts while the mouse lies on it, in dark and in light: one of each kind (element and classes).
fn under_mouse(page: &Page) -> Vec<Fault> {
    let kinds = "(() => { const kinds = new Map(); for (const one of document.querySelectorAll('a[href], button, summary')) { \
        const box = one.getClientRects()[0], kind = one.tagName + one.className + one.closest('nav, header, main, footer')?.tagName; \
        if (box && box.width > 1 && !kinds.has(kind)) kinds.set(kind, [box.left + box.width / 2, box.top + box.height / 2 + scrollY]); } \
        return [...kinds.values()]; })()";
    let mut found = Vec::new();
    for at in page.evaluate(kinds).as_array().expect("a list") {
        let (x, y) = (at[0].as_f64().unwrap_or(0.0), at[1].as_f64().unwrap_or(0.0));
        let shift =
            page.evaluate(&format!("(scrollTo({{top: {y} - innerHeight / 2, behavior: 'instant'}}), scrollY)")).as_f64().unwrap_or(0.0);
        page.mouse_to(x, y - shift);
        for dark in [true, false] {
            page.dark(dark);
            found.extend(read(&run(page, "underMouse()")));
        }
    }
    page.mouse_to(0.0, 0.0);
    found
}

/// Fails with every fault, unless there is none.
pub fn sound(page: &Page, name: &str) {
    let found = faults(page);
    let lines: Vec<String> = found.iter().map(|fault| format!("{name}: {fault}")).collect();
    assert!(found.is_empty(), "{}", lines.join("\n"));
}

/// One step of the keyboard's walk.
fn step(page: &Page, call: &str) -> Value {
    ask(page, &format!("c.{call}"))
}

/// More stops than any page has: a walk that is longer goes round in itself.
const MOST_STOPS: usize = 400;

/// Parts of a date and a time in one entry, the most that the Tab key stops at within it.
const PARTS: usize = 8;

/// Goes through the page with the Tab key: what cannot be reached, left or seen, and what lies out of order.
///
/// In one column (a telephone) each stop must not lie above the one before; beside each other they may, if the next one lies further right.
fn walked(page: &Page, one_column: bool) -> Vec<Fault> {
    let mut found = Vec::new();
    let mut fault = |check: &str, criterion: &str, place: &Value, what: &str| {
        let place = place.as_str().unwrap_or("page").to_owned();
        found.push(Fault { check: check.to_owned(), criterion: criterion.to_owned(), place, what: what.to_owned() });
    };
    step(page, "step('begin')");
    let mut reached: Vec<i64> = Vec::new();
    let mut previous = Value::Null;
    let mut again = 0;
    for count in 0..=MOST_STOPS {
        page.press("Tab");
        let stop = step(page, "step('look')");
        if stop.is_null() {
            break;
        }
        if stop["moved"] == true {
            fault("on focus", "3.2.1", &step(page, &format!("missed({reached:?})"))[0], "leads elsewhere as soon as it has the focus");
            return found;
        }
        let number = stop["number"].as_i64().unwrap_or(-1);
        if stop["place"] == previous["place"] && stop["box"] == previous["box"] {
            again += 1;
            if again > if stop["parts"] == true { PARTS } else { 0 } {
                // The only stop of a page follows itself.
                if reached.len() > 1 || step(page, &format!("missed({reached:?})")).as_array().is_some_and(|missed| !missed.is_empty()) {
                    fault("trap", "2.1.2", &stop["place"], "the Tab key does not lead away");
                }
                return found;
            }
            continue;
        }
        again = 0;
        if reached.first() == Some(&number) && number >= 0 || count == MOST_STOPS {
            break;
        }
        if number >= 0 && reached.contains(&number) {
            fault("trap", "2.1.2", &stop["place"], "the Tab key comes back to it before it has gone round");
            return found;
        }
        if stop["shown"] == false {
            fault("focus visible", "2.4.7", &stop["place"], "has the focus and is not to be seen");
        } else if stop["changed"] == false && !changes(page, &stop) {
            fault("focus visible", "2.4.7", &stop["place"], "looks the same with and without the focus");
        } else if stop["faint"].as_f64().is_some_and(|ratio| ratio < 2.995) {
            fault("focus contrast", "1.4.11", &stop["place"], &format!("its ring has a contrast of {:.2} : 1, needed 3", stop["faint"]));
        }
        if let Some(cover) = stop["covered"].as_str() {
            fault("focus covered", "2.4.11", &stop["place"], &format!("lies under {cover} when it has the focus"));
        }
        let [left, _, _, bottom] = corners(&stop);
        let [_, top, right, _] = corners(&previous);
        let loose = [&stop, &previous].iter().any(|one| one.is_null() || one["fixed"] == true);
        if !loose && bottom <= top + 1.0 && (one_column || left < right - 1.0) {
            fault("focus order", "2.4.3", &stop["place"], &format!("lies above {}, and comes after it", previous["place"]));
        }
        reached.push(number);
        previous = stop;
    }
    for place in step(page, &format!("missed({reached:?})")).as_array().expect("a list") {
        fault("reachable", "2.1.1", place, "the Tab key does not come to it");
    }
    found
}

fn corners(stop: &Value) -> [f64; 4] {
    [0, 1, 2, 3].map(|side| stop["box"][side].as_f64().unwrap_or(0.0))
}

/// Whether the picture of an element changes when the focus leaves it. Asked where no computed style does.
fn changes(page: &Page, stop: &Value) -> bool {
    let [x, y, width, height] = [0, 1, 2, 3].map(|side| stop["screen"][side].as_f64().unwrap_or(0.0));
    // Room for a ring around it.
    let around = [(x - 6.0).max(0.0), (y - 6.0).max(0.0), width + 12.0, height + 12.0];
    let with = page.detail(around);
    page.evaluate("document.activeElement.blur()");
    with != page.detail(around)
}

/// Does something, and names text that changed on the page without anybody being told who does not look (4.1.3).
pub fn unannounced(page: &Page, act: impl FnOnce()) -> Vec<Fault> {
    run(page, "watch()");
    act();
    read(&run(page, "unheard()"))
}
