// What is uncertain and what drives it: bands of the neutral slope, ranks of inputs, mesh.
import { barChart } from './bars.js';
import { dataTable, element, figure, spaced } from './dom.js';
import { mainActivity } from './picks.js';
import { list, partWords } from './words.js';

const loads = { stance: 'walk, no hamstrings', press: 'cadaver limb in a press', tendon: 'foot force along the tendon', axial: 'force along the tibia' };

function bands(summary) {
  const found = Object.entries(summary.neutral_band ?? {}).filter(([, b]) => b && Number.isFinite(b.low));
  if (!found.length)
    return [element('p', { class: 'missing' }, 'No dogs were sampled in this run (study.samples is 0). Every number on this page is for one dog with middle values; another dog differs.')];
  const failed = Math.max(...found.map(([, b]) => b.failed));
  return [element('p', {}, `${figure(found[0][1].samples)} dogs were drawn at random within the known spreads. The neutral slope (where the thrust vanishes) differs among them: 18 of 20 lie between low and high.`),
    dataTable('Neutral slope of the sampled dogs', [
      { title: 'load', text: true, show: ([name]) => loads[name] ?? spaced(name) },
      { title: 'low', show: ([, b]) => `${b.low.toFixed(1)}°` }, { title: 'middle', show: ([, b]) => `${b.median.toFixed(1)}°` }, { title: 'high', show: ([, b]) => `${b.high.toFixed(1)}°` },
      { title: 'dogs with one', show: ([, b]) => `${b.samples - b.failed} of ${b.samples}` }], found),
    ...(failed ? [element('p', { class: 'note' }, 'A dog without a neutral slope in the range searched is counted in the last column and stands outside the band.')] : []),
    element('p', { class: 'note full-only' }, 'Low and high are the 5th and 95th percentile. Source: summary.json, neutral_band; quantities at each slope: bands.csv.')];
}

function drivers(rows, facts) {
  const activity = mainActivity(facts), one = rows.filter((r) => r.quantity === 'thrust' && r.activity === activity && r.rank !== null).sort((a, b) => a.rank - b.rank), top = one.filter((r) => r.rank <= 5 && r.total > 0);
  if (!top.length) return [];
  const percent = (v) => (v === null ? '–' : `${Math.round(100 * v)} %`);
  return [element('h3', {}, 'What drives it'),
    element('p', {}, `Most of the scatter of the thrust in a ${spaced(activity)} comes from: ${list(top.slice(0, 3).map((r) => spaced(r.input)))}.`),
    barChart({ title: 'Share of the scatter of the thrust', rows: top.map((r) => ({ words: `${spaced(r.input)} (${r.label})`, value: 100 * r.total, shown: percent(r.total) })), note: 'Shares of inputs that work together are counted in each, so the sum may pass 100 %.' }),
    element('details', { class: 'full-only' }, element('summary', {}, `All ${rows.length} ranks (sensitivity.csv)`), dataTable('Indices of Sobol, first order and total', [
      { title: 'quantity', text: true, show: (r) => spaced(r.quantity) }, { title: 'activity', text: true, show: (r) => spaced(r.activity) }, { title: 'rank', name: 'rank' }, { title: 'input', text: true, show: (r) => spaced(r.input) },
      { title: 'label', text: true, name: 'label' }, { title: 'first order', show: (r) => percent(r.first_order) }, { title: 'total', show: (r) => percent(r.total) }, { title: 'error of total', show: (r) => percent(r.total_error) }], rows))];
}

function mesh(peaks, refined) {
  const kept = peaks.filter((r) => r.excluded === 0 && r.error_estimate_percent !== null), found = [];
  if (kept.length) {
    const worst = kept.reduce((a, b) => (b.error_estimate_percent > a.error_estimate_percent ? b : a));
    found.push(element('h3', {}, 'The mesh'), element('p', {}, `Stress is computed on a mesh of small blocks. Peaks of stress may be off by an estimated ${figure(worst.error_estimate_percent)} % at worst (${partWords(worst.part)}), because the blocks are not endlessly small.`));
  }
  if (refined.length)
    found.push(element('details', { class: 'full-only' }, element('summary', {}, 'The same peaks on a finer mesh (refine.csv)'), dataTable('Peaks on both meshes, von Mises', [
      { title: 'slope', show: (r) => `${figure(r.plateau_angle_target_deg)}°` }, { title: 'part', text: true, show: (r) => spaced(r.part) }, { title: 'at an edge that does not settle', text: true, show: (r) => (r.excluded ? 'yes' : 'no') },
      { title: 'this mesh', show: (r) => `${figure(r.peak_von_mises_mpa)} MPa` }, { title: 'finer', show: (r) => `${figure(r.refined_peak_von_mises_mpa)} MPa` }, { title: 'change', show: (r) => `${figure(r.change_percent)} %` }], refined)));
  return found;
}

export const uncertain = {
  title: 'What is uncertain, and what drives it',
  short: 'What is uncertain',
  async fill(root, results) {
    const { facts } = await results.json('facts.json'), summary = await results.json('summary.json');
    if (!facts.rig) root.append(...bands(summary), ...drivers(await results.table('sensitivity.csv'), facts));
    const last = mesh(await results.table('construct.csv'), await results.table('refine.csv'));
    root.append(...last);
    if (facts.rig && !last.length) root.append(element('p', { class: 'missing' }, 'A bench test without stress: nothing is known about its uncertainty.'));
  },
};
