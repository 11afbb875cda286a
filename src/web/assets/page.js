"use strict";
// What makes the page pleasant. Everything works without it: nothing is worked out here, and nothing is fetched but from this program.

// Dropping a log anywhere on the page puts it into the field for it.
function dropping() {
  const zone = document.getElementById("drop");
  const field = document.getElementById("log");
  if (!zone || !field || typeof DataTransfer === "undefined") return;
  if (matchMedia("(hover: hover)").matches) zone.classList.add("can");
  const stop = (event) => { event.preventDefault(); };
  document.addEventListener("dragover", (event) => { stop(event); zone.classList.add("over"); });
  document.addEventListener("dragleave", (event) => { if (!event.relatedTarget) zone.classList.remove("over"); });
  document.addEventListener("drop", (event) => {
    stop(event);
    zone.classList.remove("over");
    if (event.dataTransfer.files.length === 0) return;
    const taken = new DataTransfer();
    taken.items.add(event.dataTransfer.files[0]);
    field.files = taken.files;
    field.focus();
  });
}

// The progress of an upload. The answer is where the program leads to.
function uploading() {
  const form = document.querySelector("form#check, form#stated");
  const told = document.getElementById("progress");
  const button = document.getElementById("go");
  if (!form || !told || !button) return;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const request = new XMLHttpRequest();
    const bar = document.createElement("progress");
    const words = document.createElement("span");
    told.replaceChildren(words, bar);
    told.hidden = false;
    button.disabled = true;
    words.textContent = "Sending…";
    request.upload.addEventListener("progress", (step) => {
      if (!step.lengthComputable) return;
      bar.max = step.total;
      bar.value = step.loaded;
      if (step.loaded === step.total) { words.textContent = "Checking…"; bar.removeAttribute("value"); }
    });
    const failed = () => {
      button.disabled = false;
      told.textContent = "It could not be sent. Is the program still running? Try again.";
    };
    request.addEventListener("error", failed);
    request.addEventListener("abort", failed);
    request.addEventListener("load", () => {
      const there = new URL(request.responseURL);
      if (there.pathname.startsWith("/check/")) {
        // The fragment of a redirection is not told: the page itself says where it is to be read from.
        there.hash = request.responseText.includes("id=\"errors\"") ? "errors" : "result";
        const same = there.pathname === location.pathname;
        location.assign(there);
        // From the form at this very address only the fragment differs, which alone loads nothing.
        if (same) location.reload();
        return;
      }
      button.disabled = false;
      told.hidden = true;
      show(request.responseText);
    });
    request.open("POST", form.action);
    request.send(new FormData(form));
  });
}

// Shows the refusal that came instead of an answer, above the form, which stays as it was filled in.
function show(html) {
  const errors = new DOMParser().parseFromString(html, "text/html").getElementById("errors");
  if (!errors) { location.reload(); return; }
  const before = document.getElementById("errors");
  if (before) before.remove();
  document.getElementById("main").prepend(errors);
  errors.focus();
}

// Says at once whether a level can be read; the program says it, not this script.
function validating() {
  for (const field of document.querySelectorAll("input[data-level]")) {
    let asked = 0;
    let waiting = 0;
    const told = document.createElement("p");
    told.id = field.id + "-told";
    told.className = "told";
    told.setAttribute("role", "status");
    field.after(told);
    const ask = async () => {
      const mine = ++asked;
      const text = field.value.trim();
      if (text === "") { say("", ""); return; }
      try {
        const answer = await fetch("/level?" + new URLSearchParams({ occasion: field.dataset.level, text }));
        const found = await answer.json();
        if (mine !== asked) return;
        if (found.read) say("fine", "✓ can be read");
        else say("error", "Change this: " + found.what + ". Way out: " + found.hint + ".");
      } catch { say("", ""); }
    };
    const say = (kind, words) => {
      told.className = kind;
      told.textContent = words;
      if (kind === "error") field.setAttribute("aria-invalid", "true"); else field.removeAttribute("aria-invalid");
      const by = new Set((field.getAttribute("aria-describedby") || "").split(" ").filter(Boolean));
      if (words) by.add(told.id); else by.delete(told.id);
      if (by.size) field.setAttribute("aria-describedby", [...by].join(" ")); else field.removeAttribute("aria-describedby");
      const old = document.getElementById(field.id + "-error");
      if (old && kind !== "") old.hidden = true;
    };
    field.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(ask, 500); });
    // What is said moves what stands below: not while a press on it, which took the focus from here, is still under way.
    field.addEventListener("blur", () => { clearTimeout(waiting); if (field.value.trim() !== "" || told.textContent) waiting = setTimeout(ask, 500); });
  }
}

// Values off a plot: with the pointer on it, or with the slider below it, which takes the keyboard and a screen reader too.
function reading() {
  document.querySelectorAll("figure[data-readings]").forEach((figure, index) => {
    const data = JSON.parse(figure.dataset.readings);
    const views = ["wide", "narrow"].map((name) => ({ box: figure.querySelector("." + name), axes: JSON.parse(figure.dataset[name]) }));
    const [first, last] = views[0].axes.seconds;
    const row = document.createElement("div");
    row.className = "readout";
    const label = document.createElement("label");
    const slider = document.createElement("input");
    const output = document.createElement("output");
    slider.type = "range";
    slider.id = "moment-" + index;
    slider.min = first; slider.max = last; slider.step = data.axis === "years" ? 86400 : 1; slider.value = first;
    label.htmlFor = slider.id;
    label.textContent = "Read values off the plot";
    output.htmlFor = slider.id;
    row.append(label, slider, output);
    figure.querySelector("figcaption").before(row);
    for (const view of views) {
      view.cursor = document.createElement("div");
      view.cursor.className = "cursor";
      view.cursor.hidden = true;
      view.box.append(view.cursor);
      const svg = view.box.querySelector("svg");
      const width = svg.viewBox.baseVal.width;
      view.place = (seconds) => {
        const [from, to] = view.axes.x;
        view.cursor.style.left = 100 * (from + (to - from) * (seconds - first) / (last - first)) / width + "%";
        view.cursor.hidden = false;
      };
      const at = (event) => {
        const [from, to] = view.axes.x;
        const frame = svg.getBoundingClientRect();
        const x = (event.clientX - frame.left) / frame.width * width;
        tell(Math.min(last, Math.max(first, first + (last - first) * (x - from) / (to - from))));
      };
      view.box.addEventListener("pointermove", (event) => { if (event.pointerType === "mouse" || event.buttons) at(event); });
      view.box.addEventListener("pointerdown", at);
    }
    const tell = (seconds, place = true) => {
      slider.value = seconds;
      const words = moment(seconds, data.axis);
      const parts = [words];
      for (const curve of data.curves) {
        const value = nearest(curve.points, seconds, (last - first) / 100);
        if (value !== null) parts.push(curve.name + " " + shown(value) + (curve.unit ? "\u00a0" + curve.unit : ""));
      }
      output.replaceChildren(...parts.map((part, place) => { const one = document.createElement(place ? "span" : "b"); one.textContent = part; return one; }));
      slider.setAttribute("aria-valuetext", parts.join(", "));
      if (place) for (const view of views) view.place(seconds);
    };
    tell(first, false);
    slider.addEventListener("input", () => tell(Number(slider.value)));
  });
}

function moment(seconds, axis) {
  if (axis === "years") return (seconds / 31557600).toFixed(2) + "\u00a0years";
  const whole = Math.round(seconds);
  const two = (number) => String(number).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const rest = Math.floor(whole / 60) % 60;
  const clock = hours ? hours + ":" + two(rest) + ":" + two(whole % 60) + "\u00a0h" : rest + ":" + two(whole % 60) + "\u00a0min";
  return axis === "heat" ? "heat of " + clock : clock;
}

function shown(value) {
  const text = Math.abs(value) >= 100 ? value.toFixed(0) : String(Math.round(value * 10) / 10);
  return text.replace("-", "\u2212");
}

// The reading nearest to a moment; none where the log has a gap.
function nearest(points, seconds, farthest) {
  let low = 0;
  let high = points.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (points[middle][0] < seconds) low = middle + 1; else high = middle;
  }
  const beside = [points[low - 1], points[low]].filter(Boolean);
  beside.sort((a, b) => Math.abs(a[0] - seconds) - Math.abs(b[0] - seconds));
  return beside.length && Math.abs(beside[0][0] - seconds) <= farthest ? beside[0][1] : null;
}

// Brings whoever reads to the answer or to what has to be changed.
function arriving() {
  const errors = document.getElementById("errors");
  const result = location.hash === "#result" ? document.getElementById("result") : null;
  (errors || result)?.focus();
}

// A link to a field inside something closed opens it.
function opening() {
  for (const link of document.querySelectorAll("#errors a[href^='#']")) {
    link.addEventListener("click", () => {
      const field = document.getElementById(link.hash.slice(1));
      for (let above = field?.parentElement; above; above = above.parentElement) if (above.tagName === "DETAILS") above.open = true;
      setTimeout(() => field?.focus(), 0);
    });
  }
}

dropping();
uploading();
validating();
reading();
opening();
arriving();
