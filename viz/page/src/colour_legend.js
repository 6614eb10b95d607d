// The colour scale beside the three-dimensional view, with its numbers.
import { scaleStops } from './construct_data.js';
import { element, figure } from './dom.js';

const steps = [0, 0.25, 0.5, 0.75, 1];

/** node, and show({name, unit, top}). */
export function colourLegend() {
  const title = element('b', {}), ticks = element('span', { class: 'colour-ticks' }), bar = element('span', { class: 'colour-bar' });
  bar.style.setProperty('--stops', scaleStops.join(', '));
  const node = element('div', { class: 'colour-legend', id: 'legend', role: 'img' }, title, element('span', { class: 'colour-steps' }, bar, ticks));
  return {
    node,
    show({ name, unit, top }) {
      title.textContent = `${name}, ${unit}`;
      ticks.replaceChildren(...steps.map((s) => element('span', {}, `${figure(s * top)}${s === 1 ? ' and more' : ''}`)));
      node.dataset.top = top;
      node.setAttribute('aria-label', `Colours: ${name} from 0, dark blue, to ${figure(top)} ${unit} and more, light yellow.`);
    },
  };
}
