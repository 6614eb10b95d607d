// What may break and when: week by activity, one cell the least margin; verdicts as sign and word.
import { choice, dataTable, element, figure, spaced } from './dom.js';
import { beyondMuscle, least, slopeOf, stanceRows, unique, usualSlope } from './picks.js';
import { activityWords, capital, knownAs, marginWords, modeWords, partWords, upperBound, usedUp, verdictWord } from './words.js';

/** A margin as words for its cell: value, verdict, then what breaks. */
function cell(row, withActivity) {
  if (!row) return '–';
  const band = row.low !== null && row.high !== null ? element('small', {}, ` (${marginWords(row.low)} to ${marginWords(row.high)})`) : null;
  const what = `${partWords(row.part)}${withActivity ? '' : `: ${modeWords(row.mode)}`}`;
  return element('span', { class: 'margin' }, element('b', {}, marginWords(row.margin)), band ?? '', ' ', verdictWord(row.verdict), element('small', { class: 'what' }, withActivity ? `${what}, ${spaced(row.activity)}` : what));
}

function byActivity(rows, { activities, weeks, rig, beyond }) {
  return dataTable('Least margin by activity and week after surgery', [
    { title: rig ? 'the machine' : 'when the dog …', text: true, show: (a) => (rig ? spaced(a) : `${activityWords(a)}${beyond.has(a) ? ` (${upperBound})` : ''}`) },
    ...weeks.map((w) => ({ title: rig ? 'least margin' : `week ${figure(w)}`, text: true, show: (a) => cell(least(rows.filter((r) => r.activity === a && r.week === w))) })),
  ], activities);
}

function byMode(rows, weeks) {
  return element('div', { class: 'full-only' }, dataTable('The same by what may happen: least margin of each mode, its part and activity', [
    { title: 'mode', text: true, show: (m) => `${capital(modeWords(m))} (${m})` },
    ...weeks.map((w) => ({ title: `week ${figure(w)}`, text: true, show: (m) => cell(least(rows.filter((r) => r.mode === m && r.week === w)), true) })),
  ], unique(rows.map((r) => r.mode))));
}

const amount = (value, unit) => `${figure(value)} ${unit === 1 || unit === null ? '' : unit}`;

function everything(rows) {
  return dataTable('Every margin of this slope (margins.csv)', [
    { title: 'week', name: 'week' },
    { title: 'activity', text: true, show: (r) => spaced(r.activity) },
    { title: '% of stance', show: (r) => figure(r.stance_percent) },
    { title: 'part', text: true, show: (r) => spaced(r.part) },
    { title: 'mode', text: true, show: (r) => spaced(r.mode) },
    { title: 'demand', show: (r) => amount(r.demand, r.unit) },
    { title: 'capacity', show: (r) => amount(r.capacity, r.unit) },
    { title: 'margin', show: (r) => marginWords(r.margin) },
    { title: 'low to high', show: (r) => (r.low === null ? '–' : `${marginWords(r.low)} to ${marginWords(r.high)}`) },
    { title: 'verdict', text: true, show: (r) => verdictWord(r.verdict) },
    { title: 'source', long: true, name: 'source' },
  ], rows);
}

function race(rows) {
  if (!rows.length) return [];
  const few = [...rows].sort((a, b) => a.margin - b.margin);
  const columns = [{ title: 'part', text: true, show: (r) => partWords(r.part) }, { title: 'mode', text: true, show: (r) => modeWords(r.mode) }, { title: 'margin', show: (r) => marginWords(r.margin) }, { title: 'verdict', text: true, show: (r) => verdictWord(r.verdict) },
    { title: 'life, as a decade', text: true, show: (r) => String(r.source).split(';')[0] }];
  return [element('h3', {}, 'Over all weeks: tiring by repetition'),
    element('p', {}, `Bone heals while metal tires. Nearest to its limit: ${partWords(few[0].part)}, margin ${marginWords(few[0].margin)}, ${few[0].verdict}.`),
    element('div', { class: 'full-only' }, dataTable('Fatigue over the weeks of the diary', columns, few))];
}

/** One sentence: what comes first, and how far the dog is from it. */
function worstWords(worst, slope, { rig, mode, beyond }) {
  const when = rig ? 'in this test' : worst.stance_percent === null ? `over all weeks of the ${spaced(worst.activity)} diary${usedUp(worst.source)}` : `in week ${figure(worst.week)}, when the dog ${activityWords(worst.activity)}`;
  const far = rig || worst.stance_percent === null ? '' : worst.margin >= 1 ? ` Forces about ${marginWords(worst.margin)} times as large, all in step, would bring it there.` : beyond.has(worst.activity) ? '' : ' It needs no accident: this activity is too much.';
  return element('p', { id: 'worst', 'aria-live': 'polite' }, `Plateau at ${figure(slope)}°: ${mode ? `of all that may be “${modeWords(mode)}”, the ` : ''}nearest to its limit is ${partWords(worst.part)} (${modeWords(worst.mode)}), ${when}: margin ${marginWords(worst.margin)}, `, verdictWord(worst.verdict), `${beyond.has(worst.activity) ? `; ${upperBound}` : ''}${knownAs(worst.source) ? ` (${knownAs(worst.source)})` : ''}.${far}`);
}

export const breaks = {
  title: 'What may break, and when',
  async fill(root, results) {
    const { facts } = await results.json('facts.json'), beyond = beyondMuscle(await stanceRows(results)), all = (await results.table('margins.csv')).filter((r) => r.margin !== null);
    if (!all.length) {
      root.append(element('p', { class: 'missing' }, 'No result for plate, screws and bone: this run computed the joint only, or its construct failed (log.txt says why). It says nothing about breaking.'));
      return;
    }
    const slopes = unique(all.map(slopeOf)), levelled = slopes.filter((s) => facts.targets_deg.includes(s)), state = { slope: usualSlope(levelled.length ? levelled : slopes), mode: '' };
    const body = element('div');
    const show = () => {
      const here = all.filter((r) => slopeOf(r) === state.slope), picked = here.filter((r) => !state.mode || r.mode === state.mode);
      const states = picked.filter((r) => r.stance_percent !== null), weeks = unique(states.map((r) => r.week)).sort((a, b) => a - b), modes = here.filter((r) => r.stance_percent !== null);
      body.replaceChildren(worstWords(least(picked) ?? least(here), state.slope, { rig: facts.rig, mode: state.mode, beyond }),
        ...(states.length ? [byActivity(states, { activities: unique(states.map((r) => r.activity)), weeks, rig: facts.rig, beyond })] : []), byMode(modes, unique(modes.map((r) => r.week)).sort((a, b) => a - b)),
        ...race(picked.filter((r) => r.stance_percent === null)),
        element('details', { class: 'full-only' }, element('summary', {}, `All ${here.length} margins of this slope with demand, capacity and source`), everything(here)));
    };
    const set = (name) => (chosen) => {
      state[name] = name === 'slope' ? Number(chosen) : chosen;
      show();
    };
    root.append(element('p', {}, 'The margin is what a part can bear divided by what it gets. Below 1 it is overloaded (✕), from 1 to 1.5 marginal (!), from 1.5 adequate (✓).', facts.rig ? '' : ' A dog that breaks the rules moves to the row of what it does.'));
    root.append(element('div', { class: 'controls' }, slopes.length > 1 ? choice('Slope of the plateau', slopes.map((s) => [String(s), `${figure(s)}°${levelled.includes(s) || !levelled.length ? '' : ' (not operated)'}`]), String(state.slope), set('slope')) : '',
      choice('What may happen', [['', 'the nearest of all'], ...unique(all.map((r) => r.mode)).map((m) => [m, modeWords(m)])], '', set('mode'))), body);
    show();
  },
};
