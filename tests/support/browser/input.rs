//! Finger, mouse, keyboard and files.

use super::page::Page;
use serde_json::{Value, json};
use std::path::Path;

/// The middle of an element, brought into view; the text says what hides it, if anything does.
const MIDDLE: &str = r#"(selector => {
  const one = document.querySelector(selector);
  if (!one) return 'nothing is named ' + selector;
  one.scrollIntoView({block: 'center', inline: 'center', behavior: 'instant'});
  const box = [...one.getClientRects()].find(box => box.width > 0 && box.height > 0);
  if (!box) return selector + ' is not shown';
  const x = box.left + box.width / 2, y = box.top + box.height / 2, there = document.elementFromPoint(x, y);
  const label = there && there.closest('label');
  if (!there || !(one.contains(there) || there.contains(one) || (label && label.control === one)))
    return selector + ' lies under ' + (there ? there.outerHTML.slice(0, 200) : 'nothing at all: it is out of view');
  return [x, y];
})"#;

impl Page<'_> {
    fn middle(&self, selector: &str) -> (f64, f64) {
        let found = self.evaluate(&format!("{MIDDLE}({})", json!(selector)));
        match (found[0].as_f64(), found[1].as_f64()) {
            (Some(x), Some(y)) => (x, y),
            _ => panic!("{}: {}", self.address(), found.as_str().unwrap_or("the element could not be found")),
        }
    }

    /// Clicks an element with the mouse, as long as nothing lies over it.
    pub fn click(&self, selector: &str) {
        self.wait_for(selector);
        let (x, y) = self.middle(selector);
        for kind in ["mouseMoved", "mousePressed", "mouseReleased"] {
            let pressed = kind != "mouseMoved";
            let event =
                json!({"type": kind, "x": x, "y": y, "button": if pressed { "left" } else { "none" }, "clickCount": u8::from(pressed)});
            self.call("Input.dispatchMouseEvent", &event);
        }
    }

    /// Moves the mouse to a place on the screen.
    pub fn mouse_to(&self, x: f64, y: f64) {
        self.call("Input.dispatchMouseEvent", &json!({"type": "mouseMoved", "x": x, "y": y}));
    }

    /// Moves the mouse to the middle of an element.
    pub fn hover(&self, selector: &str) {
        let (x, y) = self.middle(selector);
        self.mouse_to(x, y);
    }

    /// Touches an element with a finger, as long as nothing lies over it. The page must be seen on a screen that is touched.
    pub fn tap(&self, selector: &str) {
        self.wait_for(selector);
        let (x, y) = self.middle(selector);
        self.call("Input.dispatchTouchEvent", &json!({"type": "touchStart", "touchPoints": [{"x": x, "y": y}]}));
        self.call("Input.dispatchTouchEvent", &json!({"type": "touchEnd", "touchPoints": []}));
    }

    /// Writes into the element that has the focus.
    pub fn write(&self, text: &str) {
        self.call("Input.insertText", &json!({"text": text}));
    }

    /// Writes into an entry, in place of what stands there.
    pub fn enter(&self, selector: &str, text: &str) {
        self.wait_for(selector);
        self.middle(selector);
        self.evaluate(&format!("(one => {{ one.focus(); one.select && one.select(); }})(document.querySelector({}))", json!(selector)));
        if text.is_empty() {
            self.press("Delete");
        } else {
            self.write(text);
        }
    }

    /// Chooses an entry of a list by its value.
    pub fn select(&self, selector: &str, value: &str) {
        self.wait_for(selector);
        let chosen = self.evaluate(&format!(
            "((one, value) => {{ one.value = value; for (const kind of ['input', 'change']) one.dispatchEvent(new Event(kind, {{bubbles: true}})); return one.value; \
             }})(document.querySelector({}), {})",
            json!(selector),
            json!(value)
        ));
        assert_eq!(chosen, value, "{selector} has no such entry");
    }

    /// Presses a key: `Tab`, `Shift+Tab`, `Enter`, `Space`, `Escape`, `Delete`, an arrow (`ArrowDown`), or a single character.
    pub fn press(&self, key: &str) {
        let (shift, name) = key.strip_prefix("Shift+").map_or((false, key), |rest| (true, rest));
        let (named, code, number, text) = match name {
            "Tab" => ("Tab", "Tab", 9, None),
            "Enter" => ("Enter", "Enter", 13, Some("\r")),
            "Escape" => ("Escape", "Escape", 27, None),
            "Space" => (" ", "Space", 32, Some(" ")),
            "End" => ("End", "End", 35, None),
            "Home" => ("Home", "Home", 36, None),
            "ArrowLeft" => ("ArrowLeft", "ArrowLeft", 37, None),
            "ArrowUp" => ("ArrowUp", "ArrowUp", 38, None),
            "ArrowRight" => ("ArrowRight", "ArrowRight", 39, None),
            "ArrowDown" => ("ArrowDown", "ArrowDown", 40, None),
            "Delete" => ("Delete", "Delete", 46, None),
            other => (other, "", 0, Some(other)),
        };
        let mut event = json!({"key": named, "code": code, "windowsVirtualKeyCode": number, "modifiers": if shift { 8 } else { 0 }});
        event["type"] = json!(if text.is_some() { "keyDown" } else { "rawKeyDown" });
        if let Some(text) = text {
            event["text"] = json!(text);
        }
        let mut release = event.clone();
        release["type"] = json!("keyUp");
        self.pipe.call_all(&self.session, &[("Input.dispatchKeyEvent", event), ("Input.dispatchKeyEvent", release)]);
    }

    /// Chooses files in a file entry, as the system's dialogue would.
    pub fn choose(&self, selector: &str, files: &[&Path]) {
        self.wait_for(selector);
        let found = self.call("Runtime.evaluate", &json!({"expression": format!("document.querySelector({})", json!(selector))}));
        let files: Vec<Value> = files.iter().map(|file| json!(file)).collect();
        self.call("DOM.setFileInputFiles", &json!({"objectId": found["result"]["objectId"], "files": files}));
    }

    /// Drags a file from outside onto an element and lets it go.
    pub fn drop_file(&self, selector: &str, file: &Path) {
        self.wait_for(selector);
        self.drag(selector, file, &["dragEnter", "dragOver", "drop"]);
    }

    /// Holds a dragged file over an element.
    pub fn hold_file(&self, selector: &str, file: &Path) {
        self.drag(selector, file, &["dragEnter", "dragOver"]);
    }

    fn drag(&self, selector: &str, file: &Path, steps: &[&str]) {
        let (x, y) = self.middle(selector);
        // Operations 1: copy.
        let data = json!({"items": [], "files": [file], "dragOperationsMask": 1});
        for step in steps {
            self.call("Input.dispatchDragEvent", &json!({"type": step, "x": x, "y": y, "data": data}));
        }
    }
}
