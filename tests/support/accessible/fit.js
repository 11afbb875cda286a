// Whether everything fits: in a narrow window, with wider spacing, without movement.
const scrolls = value => ['auto', 'scroll', 'hidden', 'clip'].includes(value);
/** An ancestor that keeps the element's overflow to itself. */
const holder = one => {
  for (let at = one.parentElement; at && at !== document.body; at = at.parentElement) if (scrolls(style(at).overflowX)) return at;
  return null;
};
function reflow(check, criterion, screenWide) {
  const width = document.documentElement.clientWidth;
  // A page with a width of its own is shown small, and larger only by moving it sideways.
  if (width > screenWide) fault(check, criterion, null, `is laid out ${width} px wide for a screen of ${screenWide}`);
  const wide = Math.max(document.documentElement.scrollWidth, document.body.scrollWidth);
  // A pixel is lost in rounding where a telephone scales the page.
  if (wide > width + 1) {
    const out = all('body *').filter(one => one.getBoundingClientRect().right > width + 0.5 && !holder(one) && seen(one));
    const inner = out.filter(one => !out.some(other => other !== one && one.contains(other)));
    for (const one of inner.slice(0, 4)) fault(check, criterion, one, `reaches ${one.getBoundingClientRect().right.toFixed(0)} of ${width} px`);
    if (!inner.length) fault(check, criterion, null, `is ${wide} px wide in a window of ${width}`);
  }
  for (const one of all('body *')) {
    const now = style(one);
    if (!['auto', 'scroll'].includes(now.overflowX) || one.scrollWidth <= one.clientWidth + 1 || !seen(one)) continue;
    // Tables and drawings are read in two directions; they may be moved within a frame of their own.
    if (!one.querySelector('table, svg, img, canvas') && !one.matches('table, pre, input, textarea')) fault(check, criterion, one, `text must be moved sideways: ${one.scrollWidth} in ${one.clientWidth} px`);
  }
}
/** Ordinary words that are broken over two lines without a sign that they are: a column is too narrow for what stands in it. */
function brokenWords() {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), range = document.createRange();
  const told = new Set();
  for (let node; (node = walker.nextNode());) {
    const one = node.parentElement;
    if (!node.data.trim() || one.closest('svg, script, style, noscript, pre, option, textarea') || told.has(one) || !seen(one)) continue;
    for (const {0: word, index} of node.data.matchAll(/(?<![^\s("])\p{L}{2,14}(?![^\s,.;:!?)"])/gu)) {
      range.setStart(node, index);
      range.setEnd(node, index + word.length);
      const lines = new Set([...range.getClientRects()].map(box => Math.round(box.top)));
      if (lines.size < 2) continue;
      fault('broken word', '1.4.10', one, '"' + word + '" is broken over ' + lines.size + ' lines');
      told.add(one);
      break;
    }
  }
}
/** Frames that scroll must be reachable for the keyboard in every browser. */
function scrollable() {
  for (const one of all('body *')) {
    const now = style(one);
    const moves = (['auto', 'scroll'].includes(now.overflowX) && one.scrollWidth > one.clientWidth + 1) || (['auto', 'scroll'].includes(now.overflowY) && one.scrollHeight > one.clientHeight + 1);
    if (!moves || !seen(one) || one.matches('textarea, select, input')) continue;
    if (one.tabIndex < 0 && !stops().some(stop => one.contains(stop))) fault('scroll by keyboard', '2.1.1', one, 'scrolls, and the keyboard cannot reach it');
    else if (one.tabIndex >= 0 && !one.matches(ACTIVE) && !one.computedName) fault('scroll by keyboard', '4.1.2', one, 'takes the focus without a name');
  }
}
/** Boxes whose text is cut off. */
const cut = () => all('body *').filter(one => {
  const now = style(one);
  if (!seen(one) || one.matches('svg, svg *, select, input, textarea')) return false;
  const across = ['hidden', 'clip'].includes(now.overflowX) && one.scrollWidth > one.clientWidth + 1;
  const down = ['hidden', 'clip'].includes(now.overflowY) && one.scrollHeight > one.clientHeight + 2;
  return (across || down) && one.innerText && one.innerText.trim();
});
/** Whether everything is still there when letters, words, lines and paragraphs stand as wide apart as criterion 1.4.12 names. */
function spacing() {
  const before = new Set(cut());
  const trial = () => {
    const had = faults.length;
    reflow('text spacing', '1.4.12', Infinity);
    return faults.splice(had);
  };
  const already = trial().map(one => one.place);
  const sheet = new CSSStyleSheet();
  sheet.replaceSync('*:not(svg, svg *) { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } p { margin-block-end: 2em !important }');
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  for (const one of cut()) if (!before.has(one)) fault('text spacing', '1.4.12', one, 'its text is cut off when lines and letters stand wider');
  for (const one of all('button, a[href], label, summary, th, td, p, h1, h2, h3, li, dt, dd').filter(seen)) {
    const box = one.getBoundingClientRect();
    const range = document.createRange();
    range.selectNodeContents(one);
    const words = [...range.getClientRects()];
    if (one.matches('button') && words.some(word => word.right > box.right + 1 || word.bottom > box.bottom + 1)) fault('text spacing', '1.4.12', one, 'its words stand out of it');
  }
  faults.push(...trial().filter(one => !already.includes(one.place)));
  document.adoptedStyleSheets = document.adoptedStyleSheets.filter(other => other !== sheet);
}
function motion() {
  const long = text => text.split(',').some(part => parseFloat(part) > 0.01);
  for (const one of all('*')) for (const part of [undefined, '::before', '::after']) {
    const now = style(one, part);
    if (part && ['none', 'normal'].includes(now.content)) continue;
    if (now.animationName !== 'none' && long(now.animationDuration)) fault('reduced motion', '2.3.3', one, 'moves though the reader asked for stillness: ' + now.animationName);
    else if (now.transitionProperty !== 'none' && long(now.transitionDuration)) fault('reduced motion', '2.3.3', one, 'changes slowly though the reader asked for stillness');
  }
  if (style(document.documentElement).scrollBehavior === 'smooth') fault('reduced motion', '2.3.3', document.documentElement, 'scrolls slowly though the reader asked for stillness');
}
