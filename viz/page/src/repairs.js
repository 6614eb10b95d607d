// The repairs of the same torn joint, side by side; what was not asked for is said.
import { barChart } from './bars.js';
import { choice, dataTable, element, figure, spaced } from './dom.js';
import { mainActivity, middleInstant, unique } from './picks.js';
import { capital, list, marginWords, moved, repairNames, verdictWord } from './words.js';

const nameOf = (r) => `${repairNames[r.repair] ?? spaced(r.repair)}${['levelling', 'wedge'].includes(r.repair) ? ` to ${figure(r.plateau_angle_target_deg)}°` : ''}`;
const value = (pick, show) => (r) => (pick(r) === null || pick(r) === undefined ? '–' : show(pick(r)));

function bound(margin, verdict) {
  return margin === null ? '–' : element('span', {}, `${marginWords(margin)} `, verdictWord(verdict));
}

function table(rows) {
  const loaded = rows.some((r) => r.repair_load_n !== null);
  return dataTable('Torn joint, one repair a row', [
    { title: 'repair', text: true, show: nameOf },
    { title: 'turned inwards', show: value((r) => r.rotation_internal_deg, (v) => `${v.toFixed(1)}°`) },
    ...(loaded ? [{ title: 'the repair carries', show: (r) => (r.repair_load_n === null ? (['levelling', 'wedge'].includes(r.repair) ? 'see what may break' : '–') : `${r.repair_load_n.toFixed(0)} N`) },
      { title: 'least margin', text: true, show: (r) => bound(r.margin_low, r.verdict_low) }] : []),
    { title: 'peak pressure', show: value((r) => r.peak_pressure_mpa, (v) => `${v.toFixed(1)} MPa`) },
  ], rows);
}

function everything(rows) {
  return element('div', { class: 'full-only' }, dataTable('The same, more columns (repairs.csv)', [
    { title: 'repair', text: true, show: nameOf }, { title: 'slope reached', show: (r) => `${r.plateau_angle_deg.toFixed(2)}°` },
    { title: 'thrust', show: value((r) => r.thrust_n, (v) => `${v.toFixed(1)} N`) },
    { title: 'load', show: value((r) => r.repair_load_n, (v) => `${v.toFixed(1)} N`) },
    { title: 'low strength', text: true, show: value((r) => r.strength_low_n, (v) => `${figure(v)} N`) }, { title: 'of', text: true, show: value((r) => r.strength_low_mode, spaced) },
    { title: 'high strength', show: value((r) => r.strength_high_n, (v) => `${figure(v)} N`) }, { title: 'of', text: true, show: value((r) => r.strength_high_mode, spaced) },
    { title: 'margin, high', text: true, show: (r) => bound(r.margin_high, r.verdict_high) },
    { title: 'contact area', show: value((r) => r.contact_area_mm2, (v) => `${v.toFixed(0)} mm²`) },
  ], rows));
}

export const repairs = {
  joint: true,
  title: 'The repairs side by side',
  short: 'Repairs side by side',
  async fill(root, results) {
    const { facts } = await results.json('facts.json'), all = (await results.table('repairs.csv')).filter((r) => r.ligament === 'torn');
    if (!all.length) {
      root.append(element('p', { class: 'missing' }, 'No torn joint was computed, so there is nothing to compare.'));
      return;
    }
    const kinds = unique(all.map((r) => r.repair)), missing = Object.keys(repairNames).filter((kind) => !kinds.includes(kind)), middle = middleInstant(all);
    const body = element('div', {}), show = (activity) => {
      const rows = all.filter((r) => r.activity === activity && r.stance_percent === middle).sort((a, b) => kinds.indexOf(a.repair) - kinds.indexOf(b.repair) || b.plateau_angle_target_deg - a.plateau_angle_target_deg);
      const bars = rows.map((r) => ({ words: nameOf(r), value: r.converged ? r.subluxation_mm : null, shown: r.converged ? moved(r.subluxation_mm) : 'no pose found' }));
      body.replaceChildren(element('div', { class: 'two stack lean' }, barChart({ title: `Where the tibia stands in a ${spaced(activity)}`, rows: bars, note: 'Against its place before the tear (the line): the shorter the bar, the better it is held.' }), table(rows)), everything(rows));
    };
    const suture = all.find((r) => r.repair === 'suture' && r.activity === mainActivity(facts) && r.stance_percent === middle);
    root.append(element('p', {}, `${capital(list(kinds.map((k) => repairNames[k] ?? spaced(k))))}, each for the same dog with the ligament torn: how far the tibia stands from its old place, and what the repair itself has to carry.${suture && suture.repair_load_n !== null ? ` The suture carries ${suture.repair_load_n.toFixed(0)} N in a ${spaced(suture.activity)}.` : ''}`));
    if (missing.length)
      root.append(element('p', { class: 'missing' }, `Not computed in this run: ${list(missing.map((k) => repairNames[k]))}. A scenario that names them under repair.kind sets them beside the others.`));
    if (facts.activities.length > 1)
      root.append(element('div', { class: 'controls' }, choice('Activity', facts.activities.map((a) => [a, spaced(a)]), mainActivity(facts), show)));
    root.append(body);
    show(mainActivity(facts));
  },
};
