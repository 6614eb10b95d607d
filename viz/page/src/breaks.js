// What may break and when: week by activity, one cell the least margin; verdicts as words.
import { choice, dataTable, element, figure, spaced } from './dom.js';

const modes = {
  yield: 'permanent bending or crushing', fatigue: 'tiring by repetition', shaft_yield: 'screw shaft bends', shaft_fatigue: 'screw shaft tires', bone_strain: 'bone strained too far',
  pull_out: 'screw pulled out', push_out: 'screw pushed through', tendon_pull: 'tuberosity torn off', opening: 'tissue in the gap torn', drift: 'plateau tips back',
  strength: 'ligament or tendon', whole_bone: 'whole bone breaks', first_yield: 'first permanent bending', collapse: 'collapse',
};
const words = (mode) => modes[mode] ?? spaced(mode);
const least = (rows) => rows.reduce((best, r) => (r.margin !== null && (best === null || r.margin < best.margin) ? r : best), null);
const unique = (values) => [...new Set(values)];

function verdict(row) {
  return element('span', { class: `verdict ${row.verdict}` }, row.verdict);
}

/** A margin as a sentence for its cell: value, verdict, part. */
function cell(row) {
  if (!row) return '–';
  const band = row.low !== null && row.high !== null ? ` (${figure(row.low)} to ${figure(row.high)})` : '';
  return element('span', {}, element('b', {}, figure(row.margin)), band, ' ', verdict(row), element('br'), element('small', {}, `${spaced(row.part)}: ${words(row.mode)}`));
}

function grid(rows, activities, weeks) {
  return dataTable('Least margin by activity and week after surgery', [
    { title: 'the dog does', text: true, show: (r) => spaced(r) },
    ...weeks.map((w) => ({ title: `week ${figure(w)}`, text: true, show: (a) => cell(least(rows.filter((r) => r.activity === a && r.week === w))) })),
  ], activities);
}

function list(rows) {
  return dataTable('Every margin of this slope', [
    { title: 'week', name: 'week' },
    { title: 'activity', text: true, show: (r) => spaced(r.activity) },
    { title: 'part', text: true, show: (r) => spaced(r.part) },
    { title: 'mode', text: true, show: (r) => words(r.mode) },
    { title: 'demand', show: (r) => `${figure(r.demand)} ${r.unit === 1 ? '' : r.unit}` },
    { title: 'capacity', show: (r) => `${figure(r.capacity)} ${r.unit === 1 ? '' : r.unit}` },
    { title: 'margin', show: (r) => figure(r.margin) },
    { title: 'low to high', show: (r) => (r.low === null ? '–' : `${figure(r.low)} to ${figure(r.high)}`) },
    { title: 'verdict', text: true, show: verdict },
    { title: 'source', text: true, name: 'source' },
  ], rows);
}

export const breaks = {
  title: 'What may break, and when',
  async fill(root, results) {
    const all = (await results.table('margins.csv')).filter((r) => r.margin !== null);
    if (!all.length) {
      root.append(element('p', { class: 'missing' }, 'This run solved no construct.'));
      return;
    }
    const slope = (r) => r.plateau_angle_target_deg ?? r.plateau_angle_deg;
    const slopes = unique(all.map(slope));
    const state = { slope: slopes.length > 1 ? slopes.reduce((a, b) => (Math.abs(b - 6) < Math.abs(a - 6) ? b : a)) : slopes[0], mode: '' };
    const body = element('div', { 'aria-live': 'polite' });
    const show = () => {
      const here = all.filter((r) => slope(r) === state.slope), states = here.filter((r) => r.stance_percent !== null && (!state.mode || r.mode === state.mode));
      const weeks = unique(states.map((r) => r.week)).sort((a, b) => a - b), worst = least(here);
      const race = here.filter((r) => r.stance_percent === null && (!state.mode || r.mode === state.mode));
      body.replaceChildren(
        element('p', { id: 'worst' }, `Plateau at ${figure(state.slope)}°: nearest to its limit is ${spaced(worst.part)} (${words(worst.mode)}), margin ${figure(worst.margin)}, ${worst.verdict}, ${worst.stance_percent === null ? `over all weeks of the ${spaced(worst.activity)} diary` : `week ${figure(worst.week)}, when the dog does this: ${spaced(worst.activity)}`}.`),
        grid(states, unique(states.map((r) => r.activity)), weeks),
        ...(race.length ? [element('h3', {}, 'Over all weeks: tiring by repetition'), dataTable('Fatigue over the weeks of the diary', [
          { title: 'part', text: true, show: (r) => spaced(r.part) }, { title: 'margin', show: (r) => figure(r.margin) }, { title: 'verdict', text: true, show: verdict },
          { title: 'life', text: true, show: (r) => String(r.source).split(';')[0] }], race)] : []),
        element('details', { class: 'full-only' }, element('summary', {}, `All ${here.length} margins of this slope with demand, capacity and source`), list(here)));
    };
    const set = (name) => (value) => {
      state[name] = name === 'slope' ? Number(value) : value;
      show();
    };
    root.append(
      element('p', {}, 'Margin = what it can bear over what it gets. Below 1.0 overloaded, 1.0 to 1.5 marginal, from 1.5 adequate. A dog that breaks the rules gets to the row of what it does.'),
      element('div', { class: 'controls' }, choice('Plateau angle', slopes.map((s) => [String(s), `${figure(s)}°`]), String(state.slope), set('slope')),
        choice('What may happen', [['', 'the nearest of all'], ...unique(all.map((r) => r.mode)).map((m) => [m, words(m)])], '', set('mode'))),
      body);
    show();
  },
};
