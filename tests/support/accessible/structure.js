// How the page is built: what a reader who cannot see it goes by.
function structure() {
  const root = document.documentElement;
  if (!document.title.trim()) fault('title', '2.4.2', null, 'the page has no title');
  if (!/^[a-z]{2,3}(-[A-Za-z0-9]+)*$/.test(root.lang)) fault('language', '3.1.1', root, 'the page does not say its language: "' + root.lang + '"');
  for (const one of all('body [lang]')) if (!/^[a-z]{2,3}(-[A-Za-z0-9]+)*$/.test(one.lang)) fault('language of a part', '3.1.2', one, 'no language: "' + one.lang + '"');
  headings();
  landmarks();
  references();
  tables();
  lists();
  for (const one of all('[tabindex]')) if (one.tabIndex > 0) fault('tab index', '2.4.3', one, 'tabindex ' + one.tabIndex + ' takes it out of its place');
  for (const one of all('meta[name=viewport]')) {
    const said = one.content.replace(/\s/g, ''), most = /maximum-scale=([\d.]+)/.exec(said);
    if (/user-scalable=(no|0)/.test(said) || (most && +most[1] < 2)) fault('zoom', '1.4.4', one, 'the page may not be made larger: ' + one.content);
  }
  if (!document.querySelector('meta[name=viewport]')) fault('viewport', '1.4.10', null, 'without a viewport a telephone shows the page small');
  for (const one of all('meta[http-equiv=refresh]')) fault('refresh', '2.2.1', one, 'the page leaves by itself');
  for (const one of all('marquee, blink, audio[autoplay], video[autoplay]')) fault('moves by itself', '2.2.2', one, 'cannot be held');
  for (const one of all('iframe, frame')) if (told(one) && !one.title.trim()) fault('frame name', '4.1.2', one, 'has no title');
}

function headings() {
  const found = all('h1, h2, h3, h4, h5, h6').filter(told);
  const first = found.filter(one => one.tagName === 'H1').length;
  if (first !== 1) fault('one h1', '1.3.1', null, first + ' headings of the first rank');
  let rank = 0;
  for (const one of found) {
    const here = +one.tagName[1];
    if (!one.computedName.trim()) fault('empty heading', '2.4.6', one, 'says nothing');
    // A missing or a second h1 has its own line above.
    if (here > rank + 1 && rank > 0) fault('heading order', '1.3.1', one, 'h' + here + ' follows h' + rank);
    rank = here;
  }
}

const LANDMARKS = 'main, nav, aside, body > header, body > footer, [role=main], [role=navigation], [role=banner], [role=contentinfo], [role=complementary], [role=search], [role=region][aria-label], [role=region][aria-labelledby], section[aria-label], section[aria-labelledby]';
function landmarks() {
  const mains = all('main, [role=main]').filter(told);
  if (mains.length !== 1) fault('one main', '1.3.1', null, mains.length + ' main landmarks');
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const outside = new Set();
  for (let node; (node = walker.nextNode());) {
    const one = node.parentElement;
    if (!node.data.trim() || ['SCRIPT', 'STYLE', 'NOSCRIPT', 'TEMPLATE'].includes(one.tagName) || !told(one)) continue;
    if (one.closest(LANDMARKS) || one.closest('a[href^="#"], dialog')) continue;
    outside.add(one);
  }
  if (mains.length) for (const one of outside) fault('outside landmarks', '1.3.1', one, 'stands in no landmark');
  const kinds = {};
  for (const one of all('nav, aside, [role=navigation], [role=complementary]').filter(told)) (kinds[one.computedRole] ||= []).push(one);
  for (const [kind, several] of Object.entries(kinds)) {
    const names = several.map(one => one.computedName);
    if (several.length > 1 && new Set(names).size < several.length) fault('landmark names', '2.4.6', several[1], several.length + ' of kind ' + kind + ' cannot be told apart');
  }
  const skip = all('a[href^="#"]')[0];
  const before = stops().filter(one => mains[0] && mains[0].compareDocumentPosition(one) & Node.DOCUMENT_POSITION_PRECEDING);
  if (before.length > 1 && !(skip && before[0] === skip)) fault('skip link', '2.4.1', before[0], before.length + ' stops come before the main part, and the first does not lead past them');
  for (const one of all('a[href^="#"]')) {
    const name = decodeURIComponent(one.getAttribute('href').slice(1));
    if (name && name !== 'top' && !document.getElementById(name)) fault('link within the page', '2.4.1', one, 'leads to #' + name + ', which is not there');
  }
}

function references() {
  const count = {};
  for (const one of all('[id]')) count[one.id] = (count[one.id] || 0) + 1;
  for (const [id, times] of Object.entries(count)) if (times > 1) fault('ids', '4.1.2', document.getElementById(id), times + ' elements are called #' + id);
  for (const kind of ['aria-labelledby', 'aria-describedby', 'aria-controls', 'aria-owns', 'aria-errormessage', 'aria-details', 'for', 'headers', 'list', 'form']) {
    for (const one of all('[' + kind + ']')) for (const id of one.getAttribute(kind).split(/\s+/)) {
      if (id && !count[id]) fault('references', '1.3.1', one, kind + ' names #' + id + ', which is not there');
    }
  }
  const roles = 'alert alertdialog application article banner blockquote button caption cell checkbox code columnheader combobox complementary contentinfo definition deletion dialog directory document emphasis feed figure form generic grid gridcell group heading img image insertion link list listbox listitem log main marquee math menu menubar menuitem menuitemcheckbox menuitemradio meter navigation none note option paragraph presentation progressbar radio radiogroup region row rowgroup rowheader scrollbar search searchbox separator slider spinbutton status strong subscript superscript switch tab table tablist tabpanel term textbox time timer toolbar tooltip tree treegrid treeitem'.split(' ');
  for (const one of all('[role]')) if (!one.getAttribute('role').split(/\s+/).every(role => roles.includes(role) || role.startsWith('graphics-') || role.startsWith('doc-'))) fault('roles', '4.1.2', one, 'there is no role ' + one.getAttribute('role'));
  const attributes = 'activedescendant atomic autocomplete braillelabel brailleroledescription busy checked colcount colindex colindextext colspan controls current describedby description details disabled dropeffect errormessage expanded flowto grabbed haspopup hidden invalid keyshortcuts label labelledby level live modal multiline multiselectable orientation owns placeholder posinset pressed readonly relevant required roledescription rowcount rowindex rowindextext rowspan selected setsize sort valuemax valuemin valuenow valuetext'.split(' ');
  for (const one of all('*')) for (const {name} of one.attributes) if (name.startsWith('aria-') && !attributes.includes(name.slice(5))) fault('roles', '4.1.2', one, 'there is no ' + name);
  for (const one of all(STOPS)) {
    if (one.closest('[aria-hidden="true"]') && usable(one) && one.tabIndex >= 0 && one.checkVisibility()) fault('hidden stop', '4.1.2', one, 'takes the focus, and assistive technology is told nothing of it');
    const outer = one.parentElement.closest('a[href], button, [role=button], [role=link]');
    if (outer && one.matches(ACTIVE)) fault('nested', '4.1.2', one, 'lies within ' + place(outer));
  }
  for (const one of all('[role=button], [role=link], [role=checkbox], [role=switch], [role=tab], [onclick]')) if (one.tabIndex < 0 && told(one) && !one.hasAttribute('tabindex') && !one.matches('svg *')) fault('no keyboard', '2.1.1', one, 'acts, and the keyboard cannot reach it');
}

function tables() {
  for (const table of all('table').filter(told)) {
    if (['presentation', 'none'].includes(table.getAttribute('role'))) continue;
    const heads = all('th', table), cells = all('td', table);
    if (!cells.length) continue;
    if (!heads.length) fault('table headers', '1.3.1', table, 'no cell says what a row or column is');
    for (const one of heads) if (!one.textContent.trim() && !one.computedName) fault('table headers', '1.3.1', one, 'an empty header');
    // With heads in the first row and in the first column, each must say which way it looks.
    const both = heads.some(one => one.cellIndex > 0) && heads.some(one => one.cellIndex === 0 && one.parentElement.rowIndex > 0);
    if (both) for (const one of heads) if (!one.scope && !one.id && one.textContent.trim()) fault('header scope', '1.3.1', one, 'heads a row or a column: it does not say which');
    // A style that lays a table out as blocks can take the table away from who hears it.
    if (!['table', 'grid', 'treegrid'].includes(table.computedRole)) fault('table role', '1.3.1', table, 'is told as ' + table.computedRole);
    for (const one of [...heads, ...cells]) if (!['cell', 'gridcell', 'columnheader', 'rowheader'].includes(one.computedRole)) { fault('table role', '1.3.1', one, 'a cell is told as ' + one.computedRole); break; }
    if (!table.computedName) fault('table name', '1.3.1', table, 'has no caption or label');
  }
}

function lists() {
  for (const one of all('li')) if (!one.closest('ul, ol, menu, [role=list]')) fault('lists', '1.3.1', one, 'an entry of no list');
  for (const list of all('ul, ol')) for (const one of list.children) if (!['LI', 'SCRIPT', 'TEMPLATE'].includes(one.tagName)) fault('lists', '1.3.1', one, 'stands in a list and is no entry');
  for (const list of all('dl')) for (const one of list.children) if (!['DT', 'DD', 'DIV'].includes(one.tagName)) fault('lists', '1.3.1', one, 'stands among terms and is none');
}
