// What a plot shows beside its curves: bands, names at the ends of curves, lanes with points that have a name, a line at one x.
// Drawn as SVG both over the plot on the screen and in the drawing for print and export, so the two cannot differ.
//   data    {x, curves: [{label, short, y, low, high}], lanes: [{label, at, low, high}], lanesTitle}; null where there is no value
//   place   {px(x), py(y), width, height} pixels of the plot area;  ink(name) the colour of a role ('--ink', '--curve-1', ...)

export const dashes = [[], [9, 5], [9, 4, 2, 4], [2, 4], [14, 4]];
export const curveColour = (i) => `--curve-${(i % 5) + 1}`;
const laneHeight = 33;

/** Pixels the lanes need below the curves. */
export const lanesHeight = (data) => (data.lanes?.length ? laneHeight * data.lanes.length + 26 : 0);

/** Lowest and highest value of curves, bands and zero, a little air around. */
export function valueRange(data) {
  const all = [0, ...data.curves.flatMap((c) => [...c.y, ...(c.low ?? []), ...(c.high ?? [])])].filter((v) => Number.isFinite(v));
  const low = Math.min(...all), high = Math.max(...all), air = 0.06 * (high - low || 1);
  return [low < 0 ? low - air : low, high + air];
}

export function svgNode(name, attributes = {}, text) {
  const node = document.createElementNS('http://www.w3.org/2000/svg', name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  if (text !== undefined) node.textContent = text;
  return node;
}

function bands(svg, data, { px, py }, ink) {
  data.curves.forEach((curve, i) => {
    if (!curve.low) return;
    const inside = data.x.map((x, k) => [x, curve.low[k], curve.high[k]]).filter(([, low, high]) => low !== null && high !== null);
    if (inside.length < 2) return;
    const corners = [...inside.map(([x, , high]) => [x, high]), ...inside.map(([x, low]) => [x, low]).reverse()];
    svg.append(svgNode('polygon', { points: corners.map(([x, y]) => `${px(x).toFixed(1)},${py(y).toFixed(1)}`).join(' '), fill: ink(curveColour(i)), 'fill-opacity': 0.16 }));
  });
}

/** The short names at the right, never nearer than a line. */
function endNames(svg, data, { py, width, height }, ink) {
  const names = data.curves.map((curve, i) => ({ words: curve.short, i, y: curve.y.findLast((v) => v !== null) })).filter((n) => n.words && n.y !== undefined);
  names.sort((a, b) => b.y - a.y);
  let above = -Infinity;
  for (const name of names) name.at = above = Math.max(py(name.y), above + 15);
  let below = height;
  for (const name of [...names].reverse()) name.at = Math.min(name.at, below), below = name.at - 15;
  for (const { words, i, at } of names)
    svg.append(svgNode('text', { x: width + 6, y: at + 4, fill: ink(curveColour(i)), 'font-size': 12.5, 'font-weight': 700 }, words));
}

/** Words that stay legible where a line crosses them. */
const over = (ink) => ({ stroke: ink('--paper'), 'stroke-width': 4, 'paint-order': 'stroke', 'stroke-linejoin': 'round' });

function lanes(svg, data, { px, width, height }, ink) {
  if (!data.lanes?.length) return;
  const top = height - lanesHeight(data);
  svg.append(svgNode('line', { x1: 0, x2: width, y1: top, y2: top, stroke: ink('--soft') }),
    svgNode('text', { x: 6, y: top + 16, fill: ink('--soft'), 'font-size': 12 }, data.lanesTitle));
  data.lanes.forEach((lane, i) => {
    const y = top + 26 + laneHeight * i + 22, x = px(lane.at), banded = Number.isFinite(lane.low) && Number.isFinite(lane.high);
    const left = banded ? Math.max(px(lane.low), 0) : x, right = banded ? Math.min(px(lane.high), width) : x, long = 6.9 * lane.label.length;
    if (banded) svg.append(svgNode('rect', { x: left, y: y - 5, width: Math.max(right - left, 2), height: 10, rx: 5, fill: ink('--curve-1'), 'fill-opacity': 0.28 }));
    svg.append(svgNode('circle', { cx: x, cy: y, r: 5, fill: ink('--curve-1'), stroke: ink('--paper'), 'stroke-width': 1.5 }),
      svgNode('text', { x: Math.max(4, Math.min(left - 4, width - long)), y: y - 9, fill: ink('--ink'), 'font-size': 12.5, ...over(ink) }, lane.label));
  });
}

export function drawMarks(svg, data, at, place, ink) {
  bands(svg, data, place, ink);
  if (at !== null) {
    const x = place.px(at);
    svg.append(svgNode('line', { x1: x, x2: x, y1: 0, y2: place.height, stroke: ink('--ink'), 'stroke-width': 2 }));
    data.curves.forEach((curve, i) => {
      const value = curve.y[data.x.indexOf(at)];
      if (value !== null && value !== undefined)
        svg.append(svgNode('circle', { cx: x, cy: place.py(value), r: 4.5, fill: ink(curveColour(i)), stroke: ink('--paper'), 'stroke-width': 1.5 }));
    });
  }
  lanes(svg, data, place, ink);
  endNames(svg, data, place, ink);
}
