// Bars from a zero line, one a row, with their words and values as text: read at any width, in print and aloud.
import { element } from './dom.js';

/** rows: [{words, value, shown, strong}]; value null: no bar, `shown` says why. All rows of one chart share the scale; `range` widens it. */
export function barChart({ title, rows, note, range = [] }) {
  const values = [0, ...range, ...rows.map((r) => r.value).filter((v) => Number.isFinite(v))];
  const low = Math.min(...values), high = Math.max(...values), percent = (v) => (100 * (v - low)) / (high - low || 1);
  const bar = (value) => element('span', { class: `bar ${value < 0 ? 'below' : 'above'}`, style: `left:${Math.min(percent(0), percent(value)).toFixed(2)}%;width:${Math.abs(percent(value) - percent(0)).toFixed(2)}%` });
  const line = ({ words, value, shown, strong }) => element('li', { class: strong ? 'strong' : null },
    element('span', { class: 'bar-words' }, words),
    element('span', { class: 'track', 'aria-hidden': 'true' }, Number.isFinite(value) ? bar(value) : null, element('span', { class: 'zero', style: `left:${percent(0).toFixed(2)}%` })),
    element('span', { class: 'bar-value' }, shown));
  return element('div', { class: 'bars', role: 'group', 'aria-label': title }, element('p', { class: 'plot-title' }, title), element('ul', {}, ...rows.map(line)), note ? element('p', { class: 'note' }, note) : null);
}
