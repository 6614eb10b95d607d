// Curves: uPlot on the screen, the same data as SVG for print and export.
import uPlot from 'uplot';
import { element } from './dom.js';
import { curveColour, dashes, drawMarks, lanesHeight, svgNode, valueRange } from './plot_marks.js';

const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
const printed = { '--ink': '#1c1d21', '--soft': '#5a5d66', '--line': '#d5d8de', '--paper': '#ffffff', '--curve-1': '#0b2f6b', '--curve-2': '#b8460b', '--curve-3': '#13795b', '--curve-4': '#7a2f92', '--curve-5': '#8a6a00' };
const font = 'system-ui, "DejaVu Sans", sans-serif';
const right = 58; // of the names of curves
const named = (data) => data.curves.some((c) => c.short);

/** Saves text or a blob under a name. */
export function save(name, content, type) {
  const link = element('a', { download: name, href: URL.createObjectURL(new Blob([content], { type })) });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

/** The drawing as a file: with its namespace, as XML wants it. */
export const svgText = (svg) => new XMLSerializer().serializeToString(svg);

/** An SVG drawing as a PNG of twice its size. */
function savePng(name, svg) {
  const [, , width, height] = svg.getAttribute('viewBox').split(' ').map(Number);
  const canvas = element('canvas', { width: 2 * width, height: 2 * height }), image = new Image();
  image.onload = () => {
    canvas.getContext('2d').drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.toBlob((blob) => save(name, blob, 'image/png'));
  };
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svgText(svg))}`;
}

/** A round step that gives about `wanted` marks over the range. */
function step(range, wanted) {
  const rough = range / wanted, power = 10 ** Math.floor(Math.log10(rough)), lead = rough / power;
  return power * (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10);
}

function ticks(low, high, wanted) {
  const by = step(high - low || 1, wanted), all = [];
  for (let v = Math.ceil(low / by) * by; v <= high + 1e-9 * by; v += by) all.push(Number(v.toPrecision(12)));
  return all;
}

function grid(svg, data, [x0, x1], [y0, y1], { px, py, width, height }) {
  const ink = (name) => printed[name], text = (attributes, words) => svgNode('text', { fill: ink('--ink'), 'font-size': 13, ...attributes }, words);
  for (const v of ticks(x0, x1, 8))
    svg.append(svgNode('line', { x1: px(v), x2: px(v), y1: 0, y2: height, stroke: ink('--line') }), text({ x: px(v), y: height + 18, 'text-anchor': 'middle' }, v));
  for (const v of ticks(y0, y1, 6))
    svg.append(svgNode('line', { x1: 0, x2: width, y1: py(v), y2: py(v), stroke: ink(v === 0 ? '--soft' : '--line') }), text({ x: -8, y: py(v) + 4, 'text-anchor': 'end' }, v));
  svg.append(text({ x: width / 2, y: height + 40, 'text-anchor': 'middle', 'font-size': 14 }, data.xLabel),
    text({ x: -54, y: height / 2, 'text-anchor': 'middle', 'font-size': 14, transform: `rotate(-90 -54 ${height / 2})` }, data.yLabel));
}

function legend(svg, data, top) {
  data.curves.forEach((curve, i) => {
    const y = top + 22 * i;
    svg.append(svgNode('line', { x1: 0, x2: 46, y1: y - 5, y2: y - 5, stroke: printed[curveColour(i)], 'stroke-width': 2.4, 'stroke-dasharray': dashes[i % 5].join(' ') }),
      svgNode('text', { x: 56, y, fill: printed['--ink'], 'font-size': 14 }, curve.label));
  });
}

/** One value alone has no width of its own. */
function xRange({ x }) {
  const low = Math.min(...x), high = Math.max(...x);
  return low === high ? [low - 1, high + 1] : [low, high];
}

/** Neighbouring points that have a value: what is missing is no line. */
function finiteRuns(x, y) {
  const runs = [];
  x.forEach((at, k) => {
    if (!Number.isFinite(y[k])) return;
    if (k > 0 && Number.isFinite(y[k - 1])) runs.at(-1).push([at, y[k]]);
    else runs.push([[at, y[k]]]);
  });
  return runs;
}

/** A drawing of {title, x, curves, lanes, xLabel, yLabel} (plot_marks.js), with a line at `at`. */
function plotSvg(data, at = null) {
  const ends = named(data), area = { width: 760 - 78 - (ends ? right : 20), height: 322 + lanesHeight(data) };
  const svg = svgNode('svg', { viewBox: `0 0 760 ${area.height + 104 + (ends ? 0 : 22 * data.curves.length)}`, role: 'img', 'aria-label': data.title, 'font-family': font });
  svg.append(svgNode('rect', { width: '100%', height: '100%', fill: '#ffffff' }), svgNode('text', { x: 78, y: 24, fill: printed['--ink'], 'font-size': 17, 'font-weight': 700 }, data.title));
  const inner = svgNode('g', { transform: 'translate(78 44)' });
  svg.append(inner);
  const xs = xRange(data), ys = valueRange(data), curves = area.height - lanesHeight(data);
  const place = { ...area, px: (v) => ((v - xs[0]) / (xs[1] - xs[0] || 1)) * area.width, py: (v) => curves - ((v - ys[0]) / (ys[1] - ys[0] || 1)) * curves };
  grid(inner, data, xs, ys, place);
  data.curves.forEach((curve, i) => {
    for (const run of finiteRuns(data.x, curve.y))
      inner.append(svgNode('polyline', { points: run.map(([x, y]) => `${place.px(x).toFixed(1)},${place.py(y).toFixed(1)}`).join(' '), fill: 'none', stroke: printed[curveColour(i)], 'stroke-width': 2.4, 'stroke-dasharray': dashes[i % 5].join(' ') }));
  });
  drawMarks(inner, data, at, place, (name) => printed[name]);
  if (!ends) legend(inner, data, area.height + 68);
  return svg;
}

/** What uPlot needs: the range of the heights leaves room for the lanes, whose part of the axis carries no numbers. */
function options(data, width, overlay, ready) {
  const curves = width < 460 ? 250 : 300, lanes = lanesHeight(data), [low, high] = valueRange(data);
  const bottom = low - ((high - low) * lanes) / curves, shown = (u, all) => all.map((v) => (v < low ? null : v));
  const base = { stroke: colour('--ink'), font: `12.5px ${font}`, labelFont: `13px ${font}` }, lines = { stroke: colour('--line'), width: 1 };
  return {
    width, height: curves + lanes + 74,
    padding: [10, named(data) ? right : 14, 0, 0],
    scales: { x: { time: false, range: () => xRange(data) }, y: { range: () => [bottom, high] } },
    axes: [{ ...base, label: data.xLabel, grid: lines, ticks: lines, size: 40, labelSize: 24 },
      { ...base, label: data.yLabel, grid: { ...lines, filter: shown }, ticks: { ...lines, filter: shown }, filter: shown, size: 52, labelSize: 22 }],
    series: [{ label: data.xShort ?? data.xLabel }, ...data.curves.map((c, i) => ({ label: c.label, stroke: colour(curveColour(i)), width: 2.5, dash: dashes[i % 5], spanGaps: false, points: { show: data.x.length === 1 }, value: (u, v) => (v === null || v === undefined ? '–' : v.toFixed(1)) }))],
    hooks: { draw: [overlay], ready: [ready] },
  };
}

/**
 * A figure with the curves, export buttons and a caption. Returns {node, show(data), mark(x)}: `show` draws other curves,
 * `mark` puts a line at one x.
 */
export function linePlot(start) {
  let data = start, at = null, plot = null;
  const screen = element('div', { class: 'screen-only plot' }), print = element('div', { class: 'print-only' });
  const heading = element('p', { class: 'plot-title' }, start.title), name = () => data.title.toLowerCase().replace(/[^a-z0-9]+/g, '_');
  const node = element('figure', {}, element('div', { class: 'screen-only' }, heading), screen, print,
    element('div', { class: 'tools' },
      element('button', { type: 'button', onclick: () => save(`${name()}.svg`, svgText(plotSvg(data, at)), 'image/svg+xml') }, 'Save as SVG'),
      element('button', { type: 'button', onclick: () => savePng(`${name()}.png`, plotSvg(data, at)) }, 'Save as PNG')),
    element('figcaption', {}, start.caption ?? ''));
  const overlay = (u) => {
    const width = u.over.clientWidth, height = u.over.clientHeight;
    const svg = svgNode('svg', { width: width + (named(data) ? right : 0), height, class: 'marks', 'aria-hidden': 'true', 'font-family': font });
    drawMarks(svg, data, at, { width, height, px: (v) => u.valToPos(v, 'x'), py: (v) => u.valToPos(v, 'y') }, (role) => `var(${role})`);
    u.over.querySelector('svg.marks')?.remove();
    u.over.append(svg);
  };
  const legendAt = () => at !== null && plot?.setLegend({ idx: data.x.indexOf(at) });
  const wide = () => Math.max(260, screen.clientWidth || 560);
  const draw = () => {
    plot?.destroy();
    heading.textContent = data.title;
    plot = new uPlot(options(data, wide(), overlay, () => setTimeout(legendAt)), [data.x, ...data.curves.map((c) => c.y)], screen);
    print.replaceChildren(plotSvg(data, at));
    plot.over.addEventListener('mouseleave', () => setTimeout(legendAt));
  };
  new ResizeObserver(() => plot && Math.abs(plot.width - screen.clientWidth) > 2 && screen.clientWidth > 0 && draw()).observe(screen);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', draw);
  queueMicrotask(draw);
  return {
    node,
    show(next) { data = { ...data, ...next }; draw(); },
    mark(x) {
      at = x;
      if (!plot) return;
      plot.redraw();
      legendAt();
      print.replaceChildren(plotSvg(data, at));
    },
  };
}
