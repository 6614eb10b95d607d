// What holds the bone: the construct in three dimensions, coloured by stress or displacement, week by week.
import { choice, element, figure, slider, spaced } from './dom.js';
import { ConstructView, readSurface, readField } from './construct_view.js';

const unique = (values) => [...new Set(values)];
const slopeWords = (s) => `${figure(s.target_deg)}°${s.operated ? '' : ' (not operated)'}`;

export const holds = {
  title: 'What holds the bone',
  async fill(root, results) {
    const index = results.has('fields.json') ? await results.json('fields.json') : { states: [] };
    const peaks = (await results.table('construct.csv')).filter((r) => r.part === 'plate' && r.excluded === 0);
    const cut = await results.table('cut.csv');
    if (cut.length) {
      const load = cut.filter((r) => r.load_through_bone_percent !== null).map((r) => r.load_through_bone_percent);
      const most = peaks.length ? Math.max(...peaks.map((r) => r.peak_von_mises_mpa)) : null;
      root.append(element('p', {}, `${load.length ? `${Math.min(...load).toFixed(0)} to ${Math.max(...load).toFixed(0)} % of the load goes through the bone itself, the rest through plate and screws.` : ''} ${most === null ? '' : `The plate sees at most ${figure(most)} MPa away from its hole rims.`}`));
    }
    if (!index.states.length) {
      root.append(element('p', { class: 'missing' }, 'No stress field among the results.'));
      return;
    }
    await viewer(root, results, index);
  },
};

async function viewer(root, results, index) {
  const first = index.states.findIndex((s) => s.operated);
  const state = { number: Math.max(first, 0), field: 'von_mises' };
  const range = element('p', { id: 'range', 'aria-live': 'polite' }), hover = element('p', { class: 'note', id: 'hover', 'aria-live': 'polite' }, 'Point at the construct: value and part are told here.');
  const still = element('figure', {}), canvas = element('canvas', { tabindex: '0', role: 'img', 'aria-label': 'Construct in three dimensions. Arrow keys turn it, plus and minus zoom.' });
  let view = null;
  try {
    view = new ConstructView(canvas, (words) => { hover.textContent = words; });
  } catch {
    canvas.remove();
    hover.textContent = 'WebGL is missing in this browser: a still picture in its place.';
  }
  const parts = element('div', { class: 'controls' }), weekHolder = element('div', { class: 'control wide' });
  const show = async () => {
    const s = index.states[state.number], surface = index.surfaces[s.surface];
    const values = await readField(results, state.number, surface.points, s.displacement_unit_mm);
    const shown = state.field === 'von_mises' ? values.vonMises : values.size, unit = state.field === 'von_mises' ? 'MPa' : 'mm';
    let low = Infinity, high = -Infinity;
    for (const v of shown) { low = Math.min(low, v); high = Math.max(high, v); }
    range.textContent = `${s.words}: ${state.field === 'von_mises' ? 'von Mises stress' : 'displacement'} ${figure(low)} to ${figure(high)} ${unit} on the surfaces.`;
    range.dataset.high = high;
    if (view) view.show(surface, await readSurface(results, s.surface, surface), values, state.field, unit);
    const png = `pictures/${s.file.split('/').pop().replace(/\.vtu$/, '.png')}`;
    if (results.has(png)) {
      still.className = view ? 'print-only' : '';
      still.replaceChildren(element('img', { src: await results.picture(png), alt: `${s.words}, still picture` }));
    }
  };
  const slopes = unique(index.states.map(slopeWords));
  const pick = (words, week) => {
    const here = index.states.map((s, i) => [s, i]).filter(([s]) => slopeWords(s) === words);
    const weeks = unique(here.map(([s]) => s.week)).sort((a, b) => a - b), now = weeks.includes(week) ? week : weeks[0];
    state.number = here.find(([s]) => s.week === now)[1];
    const next = slider('Week after surgery', weeks, weeks.indexOf(now), (w) => `week ${figure(w)}`, (w) => { state.number = here.find(([s]) => s.week === w)[1]; show(); });
    next.querySelector('input').id = 'week';
    weekHolder.replaceChildren(next);
    return show();
  };
  parts.append(choice('Plateau angle', slopes.map((s) => [s, s]), slopeWords(index.states[state.number]), (words) => pick(words, index.states[state.number].week)),
    choice('Colour', [['von_mises', 'von Mises stress'], ['displacement', 'displacement']], 'von_mises', (f) => { state.field = f; show(); }),
    choice('Bone', [['clear', 'seen through'], ['full', 'coloured'], ['none', 'cut away'], ['half', 'half cut away']], 'clear', (b) => view?.bone(b)),
    weekHolder);
  root.append(parts, range, element('figure', { class: 'screen-only view' }, canvas, element('figcaption', {}, 'Drag turns, wheel or pinch zooms; with the keyboard: arrow keys, plus, minus.')), hover, still);
  await pick(slopeWords(index.states[state.number]), index.states[state.number].week);
}
