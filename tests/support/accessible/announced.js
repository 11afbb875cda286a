// Text that changes on a page is announced (role status, alert and their like), or the focus goes to it, or it changes unheard.
let heard, listening, before;
function watch() {
  heard = new Set();
  listening = new MutationObserver(list => {
    for (const {type, target, addedNodes} of list) {
      if (type === 'characterData') heard.add(target.parentElement);
      else if (type === 'attributes') heard.add(target);
      else for (const node of addedNodes) heard.add(node.nodeType === 1 ? node : target);
    }
  });
  listening.observe(document.body, {subtree: true, childList: true, characterData: true, attributes: true, attributeFilter: ['hidden', 'class', 'open']});
  // What stands there already is no news.
  before = new Map(all('body *').map(one => [one, seen(one) ? ownText(one) : '']));
}
function unheard() {
  listening.disconnect();
  const news = new Set();
  for (const one of heard) for (const part of [one, ...all('*', one)]) if (part.isConnected && told(part) && seen(part) && ownText(part) && ownText(part) !== before.get(part)) news.add(part);
  for (const one of news) {
    if (one.closest('[role=status], [role=alert], [role=log], [role=timer], [role=progressbar], output, [aria-live]:not([aria-live=off])')) continue;
    if (one.contains(document.activeElement) && document.activeElement !== document.body) continue;
    if (document.activeElement && document.activeElement !== document.body && document.activeElement.contains(one)) continue;
    fault('announced', '4.1.3', one, 'changes, and nobody who does not look is told');
  }
}
