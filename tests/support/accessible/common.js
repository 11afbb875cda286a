// What every check needs: which elements are shown, where they are, and a list of faults.
const faults = [];
/** What was found since it was last asked. */
const taken = () => faults.splice(0);
const fault = (check, criterion, one, what) => faults.push({check, criterion, place: place(one), what});
const all = (selector, from = document) => [...from.querySelectorAll(selector)];
const style = (one, part) => getComputedStyle(one, part);

/** Element, its id or classes, and how it begins. */
function place(one) {
  if (!one || one === document) return 'page';
  const name = one.id ? '#' + one.id : [...one.classList].map(part => '.' + part).join('');
  const named = one.getAttribute('name') ? '[name=' + one.getAttribute('name') + ']' : '';
  const words = String(one.textContent || one.value || "").trim().replace(/\s+/g, ' ').slice(0, 40);
  const within = one.id || !one.parentElement || one.parentElement === document.body ? '' : (one.parentElement.closest('[id]') ? 'in #' + one.parentElement.closest('[id]').id + ' ' : '');
  return within + one.tagName.toLowerCase() + name + named + (words ? ' "' + words + '"' : '');
}

/** Whether a person who sees could see it (a box of more than a pixel that no ancestor cuts away). */
function seen(one) {
  if (!one.checkVisibility({visibilityProperty: true, opacityProperty: true})) return false;
  const box = one.getBoundingClientRect();
  if (box.width <= 1 || box.height <= 1) return false;
  for (let at = one; at && at !== document.body; at = at.parentElement) {
    const now = style(at);
    if (now.clip === 'rect(0px, 0px, 0px, 0px)' || now.clipPath.startsWith('inset(50%') || now.clipPath.startsWith('inset(100%')) return false;
  }
  return box.right > 0 && box.bottom + scrollY > 0;
}

/** Whether assistive technology is told of it. */
const told = one => one.checkVisibility({visibilityProperty: true}) && !one.closest('[aria-hidden="true"]');

/** Text of its own, not of its children. */
const ownText = one => [...one.childNodes].filter(node => node.nodeType === 3).map(node => node.data).join(' ').trim();

/** Elements that take input or lead elsewhere. */
const ENTRIES = 'input:not([type=hidden]), select, textarea';
const ACTIVE = ENTRIES + ', a[href], button, summary, [role=button], [role=link], [role=checkbox], [role=radio], [role=tab], [role=switch], [role=slider], [role=menuitem], [role=option]';
const usable = one => !one.disabled && !one.closest('fieldset:disabled, [inert]');
/** Elements that the Tab key stops at, by the page's own account. */
const STOPS = ACTIVE + ', [tabindex], [contenteditable=true], audio[controls], video[controls]';
const stops = () => all(STOPS).filter(one => usable(one) && one.tabIndex >= 0 && one.checkVisibility({visibilityProperty: true}));
