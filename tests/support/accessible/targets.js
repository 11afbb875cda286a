// Whether a finger, a glove or an unsteady hand can hit what acts.
const LEAST = 24, GOAL = 44;
/** The place that answers to a touch: the element, a label of it, or both together where they touch; the one that is hit best. */
function target(one) {
  const boxes = [...one.getClientRects()].filter(box => box.width && box.height).sort((a, b) => b.width * b.height - a.width * a.height);
  const own = boxes[0] || one.getBoundingClientRect(), places = [own];
  if (['checkbox', 'radio', 'file'].includes(one.type)) for (const label of one.labels || []) {
    const other = label.getBoundingClientRect();
    const apart = other.left > own.right + 4 || other.right < own.left - 4 || other.top > own.bottom + 4 || other.bottom < own.top - 4;
    const left = Math.min(own.left, other.left), top = Math.min(own.top, other.top);
    places.push(other);
    if (!apart) places.push(new DOMRect(left, top, Math.max(own.right, other.right) - left, Math.max(own.bottom, other.bottom) - top));
  }
  const least = box => Math.min(box.width, box.height);
  return places.reduce((best, box) => (least(box) > least(best) ? box : best));
}
/** In a line of text: its size is that of the line (the exception "inline"). */
function inText(one) {
  if (!one.matches('a[href], [role=link]') || style(one).display !== 'inline') return false;
  const block = one.parentElement.closest('p, li, dd, dt, td, th, figcaption, div, label, main, footer, header, section');
  return !!block && plain(block.textContent) !== plain(one.textContent) && plain(block.textContent.replace(one.textContent, '')).length > 0 && !all('a[href]', block).every(other => plain(block.textContent) === all('a[href]', block).map(all => plain(all.textContent)).join(' '));
}
function targets() {
  const found = all(ACTIVE).filter(one => usable(one) && told(one) && (seen(one) || [...(one.labels || [])].some(seen)) && !one.matches('svg *'))
    .map(one => ({one, box: target(one), text: inText(one)}));
  const small = ({box}) => box.width < LEAST - 0.5 || box.height < LEAST - 0.5;
  const middle = ({box}) => [box.left + box.width / 2, box.top + box.height / 2];
  for (const item of found.filter(item => small(item) && !item.text)) {
    const [x, y] = middle(item);
    const near = found.find(other => {
      if (other.one === item.one || other.one.contains(item.one) || item.one.contains(other.one)) return false;
      const [u, v] = middle(other);
      if (small(other) && !other.text) return Math.hypot(u - x, v - y) < LEAST;
      const dx = Math.max(other.box.left - x, 0, x - other.box.right), dy = Math.max(other.box.top - y, 0, y - other.box.bottom);
      return Math.hypot(dx, dy) < LEAST / 2;
    });
    if (near) fault('target size', '2.5.8', item.one, `${item.box.width.toFixed(0)} × ${item.box.height.toFixed(0)} px, and ${place(near.one)} lies within its circle of ${LEAST} px`);
  }
  for (const {one, box} of found) {
    if (!one.matches(ENTRIES + ', button, summary, [role=button]')) continue;
    if (box.height < GOAL - 0.5 || box.width < GOAL - 0.5) fault('large target', '2.5.5', one, `${box.width.toFixed(0)} × ${box.height.toFixed(0)} px, our goal is ${GOAL}`);
  }
}
