// What things are called, and whether what is said of them can be found.
const plain = text => text.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, ' ').trim();

function names() {
  for (const one of all(ENTRIES).filter(told)) {
    const kind = one.type || '';
    if (['submit', 'reset', 'button', 'image'].includes(kind)) continue;
    const labels = [...(one.labels || [])].filter(label => label.textContent.trim());
    const given = labels.length || ['aria-label', 'aria-labelledby', 'title'].some(name => (one.getAttribute(name) || '').trim());
    if (!given || !one.computedName.trim()) fault('control name', '4.1.2', one, 'nothing says what to enter');
    else if (!labels.some(seen) && !one.hasAttribute('aria-labelledby')) fault('visible label', '3.3.2', one, 'its name "' + one.computedName + '" is not to be seen');
    if (['radio', 'checkbox'].includes(kind) && one.name) {
      const group = all('input').filter(other => other.type === kind && other.name === one.name && other.form === one.form);
      const set = one.closest('fieldset, [role=group], [role=radiogroup]');
      if (group.length > 1 && group[0] === one && !(set && set.computedName)) fault('group name', '1.3.1', one, group.length + ' choices called ' + one.name + ' without a question');
    }
  }
  for (const one of all('[aria-invalid=true]').filter(told)) {
    const tied = [one.getAttribute('aria-describedby'), one.getAttribute('aria-errormessage')].filter(Boolean).join(' ').split(/\s+/);
    const says = tied.map(id => document.getElementById(id)).filter(other => other && seen(other) && other.textContent.trim());
    if (!says.length) fault('error tied', '3.3.1', one, 'is marked wrong, and no text that can be seen is tied to it');
  }
  for (const one of all('button, [role=button], input[type=submit], input[type=button], input[type=reset], summary').filter(told)) if (!one.computedName.trim()) fault('button name', '4.1.2', one, 'has no name');
  const vague = ['here', 'click here', 'click', 'more', 'read more', 'this', 'link', 'go', 'details', 'this page'];
  for (const one of all('a[href], [role=link], area[href]').filter(told)) {
    if (!one.computedName.trim()) fault('link name', '2.4.4', one, 'has no name');
    else if (vague.includes(plain(one.computedName))) fault('vague link', '2.4.4', one, '"' + one.computedName + '" does not say where it leads');
  }
  for (const one of all(ACTIVE).filter(one => told(one) && seen(one))) {
    const shown = plain(one.labels && one.labels.length ? one.labels[0].innerText : one.innerText || (['submit', 'button', 'reset'].includes(one.type) ? one.value : ''));
    // The words must stand in the name in their order; hints within a label may be left out of the name only at its end.
    if (shown && (one.hasAttribute('aria-label') || one.hasAttribute('aria-labelledby')) && !plain(one.computedName).includes(shown)) fault('label in name', '2.5.3', one, 'shows "' + shown + '" and is called "' + one.computedName + '"');
  }
  alternatives();
}

function alternatives() {
  for (const one of all('img, area[href], input[type=image]').filter(told)) {
    const none = one.tagName === 'IMG' && (one.getAttribute('alt') === '' || ['presentation', 'none'].includes(one.getAttribute('role')));
    if (!none && !one.computedName.trim()) fault('text alternative', '1.1.1', one, 'has no text in its place');
    if (/\.(png|jpe?g|svg|gif|webp)$/i.test(one.getAttribute('alt') || '')) fault('text alternative', '1.1.1', one, 'is described by the name of its file');
  }
  for (const one of all('svg').filter(one => told(one) && !one.parentElement.closest('svg'))) {
    if (['presentation', 'none'].includes(one.getAttribute('role'))) continue;
    const within = one.closest('a[href], button, [role=img]');
    if (within && within.computedName.trim()) continue;
    if (!['img', 'image', 'graphics-document', 'figure'].includes(one.getAttribute('role')) || !one.computedName.trim()) fault('text alternative', '1.1.1', one, 'a drawing without role and name, and not said to be an ornament');
  }
  for (const one of all('canvas, object, embed, [role=img]').filter(one => told(one) && one.tagName !== 'svg')) if (!one.computedName.trim() && !(one.textContent || '').trim()) fault('text alternative', '1.1.1', one, 'has no text in its place');
  for (const one of all('progress, meter, [role=progressbar], [role=meter]').filter(told)) if (!one.computedName.trim()) fault('control name', '4.1.2', one, 'nothing says what is measured');
}
