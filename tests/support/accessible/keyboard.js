// One step of the Tab key at a time: `step('begin')` notes how everything looks without the focus, `step('look')` says where the focus is,
// `missed` names what was never reached.
const walk = {};
const LOOK = ['outlineStyle', 'outlineWidth', 'outlineColor', 'outlineOffset', 'boxShadow', 'borderTopColor', 'borderBottomColor', 'borderTopWidth', 'borderBottomWidth', 'backgroundColor', 'color', 'textDecorationLine', 'textDecorationThickness', 'transform', 'opacity', 'fontWeight'];
/** The element and those around it that may show the focus in its place. */
const around = one => [one, ...(one.labels || []), one.parentElement, one.nextElementSibling].filter(Boolean);
const painted = (now, name) => {
  // What is not drawn may change as it likes.
  if (name.startsWith('outline') && (now.outlineStyle === 'none' || parseFloat(now.outlineWidth) === 0)) return 'none';
  if (/^border(Top|Bottom)Color$/.test(name) && parseFloat(now[name.replace('Color', 'Width')]) === 0) return 'none';
  return now[name];
};
const look = one => around(one).map(part => LOOK.map(name => painted(style(part), name)).join('|') + '|' + style(part, '::before').outlineStyle + style(part, '::after').outlineStyle).join('\n');
function step(what) {
  if (what === 'begin') {
    document.activeElement?.blur?.();
    scrollTo(0, 0);
    getSelection().removeAllRanges();
    walk.looks = new Map(stops().map(one => [one, look(one)]));
    walk.all = [...walk.looks.keys()];
    walk.address = location.href;
    // From the top of the page: an element that was left keeps the place of the next step otherwise.
    const top = document.createElement('span');
    top.tabIndex = -1;
    document.body.prepend(top);
    top.focus({preventScroll: true});
    top.remove();
    return walk.all.map(place);
  }
  const one = document.activeElement;
  if (!one || one === document.body || one === document.documentElement) return location.href !== walk.address ? {number: -1, place: 'page', moved: true} : null;
  const box = one.getBoundingClientRect();
  const now = style(one);
  const known = walk.looks.has(one);
  const changed = known && look(one) !== walk.looks.get(one);
  const ring = now.outlineStyle !== 'none' && parseFloat(now.outlineWidth) > 0;
  const ground = one.parentElement && behind(one.parentElement);
  // A ring that the page draws; one left to the browser (auto) is drawn in two colours.
  const faint = ring && now.outlineStyle !== 'auto' && ground ? contrast(over(colour(now.outlineColor), ground), ground) : 21;
  const x = Math.min(Math.max(box.left + box.width / 2, 0), innerWidth - 1), y = Math.min(Math.max(box.top + box.height / 2, 0), innerHeight - 1);
  const there = document.elementFromPoint(x, y);
  // A hidden entry shows the focus on its label.
  const shown = seen(one) || [...(one.labels || [])].some(seen);
  const covered = shown && there && !one.contains(there) && !there.contains(one) && !there.closest('label')?.contains(one) && ![...(one.labels || [])].some(label => label.contains(there)) ? place(there) : null;
  // Within one element the Tab key may stop several times: at parts of a date, at the controls of a player.
  const parts = one.matches('input[type=date], input[type=time], input[type=datetime-local], input[type=month], input[type=week], audio, video, iframe');
  return {number: walk.all.indexOf(one), place: place(one), known, changed: changed || (!known && ring) || one.tagName === 'IFRAME', faint, covered, shown, parts, moved: location.href !== walk.address,
    fixed: !!one.closest('dialog') || ['fixed', 'sticky'].includes(now.position) || (() => { for (let at = one; at; at = at.parentElement) if (['fixed', 'sticky'].includes(style(at).position)) return true; return false; })(),
    box: [box.left, box.top + scrollY, box.right, box.bottom + scrollY], screen: [box.left, box.top, box.width, box.height]};
}
/** Stops that were never reached; of radio buttons one in a group is enough: arrows lead to the others. */
function missed(numbers) {
  const reached = numbers.map(number => walk.all[number]);
  const group = one => one.type === 'radio' && one.name && reached.some(other => other && other.type === 'radio' && other.name === one.name && other.form === one.form);
  return walk.all.filter(one => !reached.includes(one) && !group(one) && document.contains(one)).map(place);
}
