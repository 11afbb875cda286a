// Contrast, by the definition of relative luminance in WCAG 2.2.
const brush = new OffscreenCanvas(1, 1).getContext('2d', {willReadFrequently: true});
const mixed = new Map();
/** Red, green, blue in 0..255 and alpha in 0..1 of any colour that a style sheet can name. */
function colour(text) {
  if (!mixed.has(text)) {
    const plain = /^rgba?\((\d+), (\d+), (\d+)(?:, ([\d.]+))?\)$/.exec(text);
    if (plain) mixed.set(text, [+plain[1], +plain[2], +plain[3], plain[4] === undefined ? 1 : +plain[4]]);
    else {
      brush.clearRect(0, 0, 1, 1);
      brush.fillStyle = '#000';
      brush.fillStyle = text;
      brush.fillRect(0, 0, 1, 1);
      const [r, g, b, a] = brush.getImageData(0, 0, 1, 1).data;
      mixed.set(text, [r, g, b, a / 255]);
    }
  }
  return mixed.get(text);
}
/** A colour laid over another that covers. */
const over = ([r, g, b, a], [x, y, z]) => [r * a + x * (1 - a), g * a + y * (1 - a), b * a + z * (1 - a), 1];
const luminance = rgb => {
  const [r, g, b] = rgb.slice(0, 3).map(part => part / 255).map(part => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (a, b) => {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
};
const hex = rgb => '#' + rgb.slice(0, 3).map(part => Math.round(part).toString(16).padStart(2, '0')).join('');

/** The page's bare ground: what shows where nothing is painted. */
function ground() {
  const probe = document.createElement('i');
  probe.style.color = 'Canvas';
  document.documentElement.append(probe);
  const found = colour(style(probe).color);
  probe.remove();
  return found;
}
/** What an element's content lies on; null where a picture or a gradient takes part. */
function behind(one) {
  const layers = [];
  for (let at = one; at; at = at.parentElement) {
    const now = style(at), layer = colour(now.backgroundColor);
    if (now.backgroundImage !== 'none' && layer[3] < 1) return null;
    if (now.backgroundImage !== 'none' && /url|gradient/.test(now.backgroundImage)) return null;
    if (layer[3] > 0 && !(at instanceof SVGElement && at.tagName !== 'svg')) layers.push([...layer.slice(0, 3), layer[3]]);
    if (layer[3] === 1) break;
  }
  let base = ground();
  for (const layer of layers.reverse()) base = over(layer, base);
  return base;
}
/** What a point of a drawing lies on: the shapes drawn before it, on the ground of the drawing. */
function behindDrawn(one) {
  const svg = one.ownerSVGElement, box = one.getBoundingClientRect();
  let base = behind(svg);
  if (!base) return null;
  const point = new DOMPoint(box.left + box.width / 2, box.top + box.height / 2);
  for (const shape of all('rect, path, circle, ellipse, polygon', svg)) {
    if (!(shape.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING) || !shape.checkVisibility()) continue;
    if (shape.closest('defs, clipPath, mask, symbol, marker')) continue;
    const now = style(shape);
    if (now.fill === 'none' || now.fill.startsWith('url') || !shape.getScreenCTM()) continue;
    if (!shape.isPointInFill(point.matrixTransform(shape.getScreenCTM().inverse()))) continue;
    const paint = colour(now.fill);
    base = over([...paint.slice(0, 3), paint[3] * +now.fillOpacity * faded(shape)], base);
  }
  return base;
}
/** The product of an element's and its ancestors' opacities. */
function faded(one) {
  let all = 1;
  for (let at = one; at; at = at.parentElement) all *= +style(at).opacity;
  return all;
}
const named = (text, base) => `${hex(text)} on ${hex(base)} is ${(Math.floor(contrast(text, base) * 100) / 100).toFixed(2)} : 1`;

function textContrast(elements = all('body *')) {
  // A colour on its way to another is not the colour.
  for (const one of document.getAnimations()) if (one instanceof CSSTransition) one.finish();
  const test = (one, painted, now, base, what) => {
    if (!base) return fault('contrast', '1.4.3', one, what + 'lies on a picture or a gradient: what it lies on cannot be told');
    const paint = colour(painted), ink = over([...paint.slice(0, 3), paint[3] * faded(one)], base);
    const size = parseFloat(now.fontSize), large = size >= 24 || (size >= 18.66 && +now.fontWeight >= 700);
    if (contrast(ink, base) < (large ? 3 : 4.5) - 0.005) fault('contrast', '1.4.3', one, what + named(ink, base) + ', needed ' + (large ? 3 : 4.5));
  };
  const exempt = one => !usable(one) || !!(one.closest('label')?.control?.disabled) || one.closest('[aria-disabled=true]');
  for (const one of elements) {
    if (['SCRIPT', 'STYLE', 'NOSCRIPT', 'OPTION', 'OPTGROUP', 'TITLE', 'DESC', 'TEMPLATE'].includes(one.tagName.toUpperCase()) || exempt(one) || !seen(one)) continue;
    const now = style(one), drawn = one instanceof SVGElement && one.tagName !== 'svg';
    if (drawn && one.closest('defs, symbol')) continue;
    if (ownText(one)) test(one, drawn ? now.fill : now.color, now, drawn ? behindDrawn(one) : behind(one), '');
    if (drawn) continue;
    if (one.matches('select, textarea, input:not([type=checkbox], [type=radio], [type=range], [type=color], [type=image])')) test(one, now.color, now, behind(one), '');
    if (one.placeholder) test(one, style(one, '::placeholder').color, now, behind(one), 'its placeholder ');
    if (one.type === 'file') {
      const part = style(one, '::file-selector-button'), layer = colour(part.backgroundColor);
      if (behind(one)) test(one, part.color, part, over(layer, behind(one)), 'its button ');
    }
    for (const side of ['::before', '::after']) {
      const part = style(one, side);
      if (/^"\s*"$|^none$|^normal$/.test(part.content) || !part.content.includes('"') || part.display === 'none') continue;
      const base = behind(one);
      test(one, part.color, part, base && over(colour(part.backgroundColor), base), side + ' ');
    }
  }
}

/** What the mouse lies on, of the things that act. */
function underMouse() {
  const one = all(':is(a[href], button, summary, label, input):hover').pop();
  if (one) textContrast([one, ...all('*', one)]);
}

function shapeContrast() {
  for (const one of all(ENTRIES).filter(one => usable(one) && seen(one))) {
    const now = style(one);
    if (['submit', 'reset', 'button', 'image'].includes(one.type)) continue;
    // What the browser draws by itself is its maker's business.
    if (['checkbox', 'radio', 'range', 'color'].includes(one.type) && now.appearance !== 'none') continue;
    const outside = behind(one.parentElement), within = behind(one);
    if (!outside || !within) continue;
    if (one.type === 'file' && now.borderStyle === 'none') {
      const part = style(one, '::file-selector-button');
      const edge = parseFloat(part.borderTopWidth) >= 1 ? contrast(over(colour(part.borderTopColor), outside), outside) : 1;
      if (Math.max(edge, contrast(over(colour(part.backgroundColor), outside), outside)) < 2.995) fault('edge contrast', '1.4.11', one, 'its button cannot be told from its ground');
      continue;
    }
    const edges = ['Top', 'Right', 'Bottom', 'Left'].filter(side => parseFloat(now[`border${side}Width`]) >= 1 && !['none', 'hidden'].includes(now[`border${side}Style`]));
    const clear = edges.filter(side => contrast(over(colour(now[`border${side}Color`]), outside), outside) >= 2.995);
    // A line below alone marks an entry too.
    if (!clear.includes('Bottom') && contrast(within, outside) < 2.995) {
      const edge = edges.length ? named(over(colour(now.borderBottomColor), outside), outside) : 'there is none';
      fault('edge contrast', '1.4.11', one, 'its edge: ' + edge + ', needed 3');
    }
  }
}

/** Links in running text that differ from it by their colour only. */
function colourAlone() {
  for (const one of all('p a[href], li a[href], dd a[href], td a[href], label a[href]').filter(seen)) {
    const block = one.closest('p, li, dd, td, label'), now = style(one);
    const beside = ownText(block);
    if (!beside || now.display !== 'inline') continue;
    if (now.textDecorationLine.includes('underline') || parseFloat(now.borderBottomWidth) > 0) continue;
    fault('colour alone', '1.4.1', one, 'a link in running text without a line under it');
  }
}
