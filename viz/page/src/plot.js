// Curves: uPlot on the screen, the same data as SVG for print and export.
import uPlot from 'uplot';
import { element } from './dom.js';

const dashes = [[], [9, 5], [9, 4, 2, 4], [2, 4], [14, 4]];
const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
const stroke = (i) => colour(`--curve-${(i % 5) + 1}`);

/** Saves text or a blob under a name. */
export function save(name, content, type) {
  const link = element('a', { download: name, href: URL.createObjectURL(new Blob([content], { type })) });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

/** A round step that gives about `wanted` marks over the range. */
function step(range, wanted) {
  const rough = range / wanted, power = 10 ** Math.floor(Math.log10(rough)), lead = rough / power;
  return power * (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10);
}

function marks(low, high, wanted) {
  const by = step(high - low || 1, wanted), all = [];
  for (let v = Math.ceil(low / by) * by; v <= high + 1e-9 * by; v += by) all.push(Number(v.toPrecision(12)));
  return all;
}

function extent(lists) {
  const all = lists.flat().filter((v) => v !== null && Number.isFinite(v));
  return [Math.min(...all), Math.max(...all)];
}

/** An SVG drawing of {title, x, curves: [{label, y}], xLabel, yLabel, vertical: [{at, label}]}. */
export function plotSvg({ title, x, curves, xLabel, yLabel, vertical = [] }) {
  const width = 760, height = 430, left = 78, right = 20, top = 46, bottom = 62 + 22 * curves.length;
  const [x0, x1] = extent([x]), [y0, y1] = extent([...curves.map((c) => c.y), [0]]);
  const px = (v) => left + ((v - x0) / (x1 - x0 || 1)) * (width - left - right);
  const py = (v) => height - bottom - ((v - y0) / (y1 - y0 || 1)) * (height - top - bottom);
  const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
  const add = (name, attributes, text) => {
    const node = document.createElementNS(svg.namespaceURI, name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    if (text !== undefined) node.textContent = text;
    svg.append(node);
  };
  svg.setAttribute('viewBox', `0 0 ${width} ${height}`);
  svg.setAttribute('role', 'img');
  svg.setAttribute('aria-label', title);
  svg.setAttribute('font-family', 'DejaVu Sans, sans-serif');
  const ink = '#1c1d21', grey = '#c9ccd3', light = ['#0b2f6b', '#b8460b', '#13795b', '#7a2f92', '#8a6a00'];
  add('rect', { width, height, fill: '#ffffff' });
  add('text', { x: left, y: 24, fill: ink, 'font-size': 17, 'font-weight': 700 }, title);
  for (const v of marks(x0, x1, 8)) {
    add('line', { x1: px(v), x2: px(v), y1: top, y2: height - bottom, stroke: grey });
    add('text', { x: px(v), y: height - bottom + 18, fill: ink, 'font-size': 13, 'text-anchor': 'middle' }, v);
  }
  for (const v of marks(y0, y1, 6)) {
    add('line', { x1: left, x2: width - right, y1: py(v), y2: py(v), stroke: v === 0 ? ink : grey });
    add('text', { x: left - 8, y: py(v) + 4, fill: ink, 'font-size': 13, 'text-anchor': 'end' }, v);
  }
  for (const { at } of vertical) add('line', { x1: px(at), x2: px(at), y1: top, y2: height - bottom, stroke: ink, 'stroke-dasharray': '3 4' });
  curves.forEach((curve, i) => {
    const points = x.map((v, k) => (curve.y[k] === null ? null : `${px(v).toFixed(1)},${py(curve.y[k]).toFixed(1)}`)).filter(Boolean);
    add('polyline', { points: points.join(' '), fill: 'none', stroke: light[i % 5], 'stroke-width': 2.4, 'stroke-dasharray': dashes[i % 5].join(' ') });
    const y = height - bottom + 62 + 22 * i;
    add('line', { x1: left, x2: left + 46, y1: y - 5, y2: y - 5, stroke: light[i % 5], 'stroke-width': 2.4, 'stroke-dasharray': dashes[i % 5].join(' ') });
    add('text', { x: left + 56, y, fill: ink, 'font-size': 14 }, curve.label);
  });
  add('text', { x: (left + width - right) / 2, y: height - bottom + 38, fill: ink, 'font-size': 14, 'text-anchor': 'middle' }, xLabel);
  add('text', { x: 18, y: (top + height - bottom) / 2, fill: ink, 'font-size': 14, 'text-anchor': 'middle', transform: `rotate(-90 18 ${(top + height - bottom) / 2})` }, yLabel);
  return svg;
}

/**
 * A figure with the curves, export buttons and a caption. Returns {node, show(data), mark(x)}: `show` draws other curves,
 * `mark` puts a vertical line at one x.
 */
export function linePlot(start) {
  let data = start, at = null, plot = null;
  const screen = element('div', { class: 'screen-only', role: 'img' }), print = element('div', { class: 'print-only' });
  const name = () => data.title.toLowerCase().replace(/[^a-z0-9]+/g, '_');
  const node = element('figure', {}, screen, print,
    element('div', { class: 'tools' },
      element('button', { type: 'button', onclick: () => save(`${name()}.svg`, plotSvg(data).outerHTML, 'image/svg+xml') }, 'Save as SVG'),
      element('button', { type: 'button', onclick: () => screen.querySelector('canvas').toBlob((blob) => save(`${name()}.png`, blob, 'image/png')) }, 'Save as PNG')),
    element('figcaption', {}, start.caption ?? ''));
  const verticals = (u) => {
    const lines = [...(data.vertical ?? []), ...(at === null ? [] : [{ at, strong: true }])];
    for (const line of lines) {
      const x = Math.round(u.valToPos(line.at, 'x', true));
      u.ctx.save();
      u.ctx.strokeStyle = colour(line.strong ? '--ink' : '--soft');
      u.ctx.lineWidth = (line.strong ? 2 : 1) * devicePixelRatio;
      u.ctx.setLineDash(line.strong ? [] : [3 * devicePixelRatio, 4 * devicePixelRatio]);
      u.ctx.beginPath();
      u.ctx.moveTo(x, u.bbox.top);
      u.ctx.lineTo(x, u.bbox.top + u.bbox.height);
      u.ctx.stroke();
      u.ctx.restore();
    }
  };
  const axis = (label) => ({ label, stroke: colour('--ink'), grid: { stroke: colour('--line'), width: 1 }, ticks: { stroke: colour('--line') }, font: '13px DejaVu Sans, sans-serif', labelFont: '14px DejaVu Sans, sans-serif', size: label === data.yLabel ? 64 : 46 });
  const draw = () => {
    plot?.destroy();
    screen.setAttribute('aria-label', data.title);
    plot = new uPlot({
      title: data.title,
      width: Math.max(280, screen.clientWidth || 560),
      height: 340,
      scales: { x: { time: false } },
      axes: [axis(data.xLabel), axis(data.yLabel)],
      series: [{ label: data.xLabel }, ...data.curves.map((c, i) => ({ label: c.label, stroke: stroke(i), width: 2.5, dash: dashes[i % 5], spanGaps: false, points: { show: false } }))],
      hooks: { draw: [verticals] },
    }, [data.x, ...data.curves.map((c) => c.y)], screen);
    print.replaceChildren(plotSvg(data));
  };
  new ResizeObserver(() => plot && Math.abs(plot.width - screen.clientWidth) > 2 && screen.clientWidth > 0 && plot.setSize({ width: Math.max(280, screen.clientWidth), height: 340 })).observe(screen);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', draw);
  queueMicrotask(draw);
  return {
    node,
    show(next) { data = { ...data, ...next }; draw(); },
    mark(x) { at = x; plot?.redraw(); },
  };
}
