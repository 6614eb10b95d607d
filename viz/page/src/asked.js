// What was asked, and the answer at one glance: dog, operation, the numbers that matter most.
import { dataTable, element, figure, spaced } from './dom.js';
import { beyondMuscle, least, mainActivity, middleInstant, slopeOf, stanceRows, unique, usualSlope } from './picks.js';
import { activityWords, knownAs, list, marginWords, modeWords, moved, newtons, operations, partWords, upperBound, usedUp, verdictWord, whole } from './words.js';

const degrees = (values) => list(values.map((v) => `${figure(v)}°`));

const glossary = [
  ['Stifle', 'the knee of a dog.'],
  ['Tibia', 'the shin bone. Its top, the plateau, carries the thigh bone and slopes backwards.'],
  ['Thrust', 'the force along the plateau that pushes the tibia under weight; forwards (cranially) or backwards (caudally).'],
  ['Cranial cruciate ligament', 'the band inside the stifle that stops the tibia from sliding forwards. The caudal cruciate stops it from sliding backwards.'],
  ['Levelling (TPLO)', 'an arc cut below the plateau, behind the front crest; the upper piece is turned until the slope is flatter, then plate and screws hold it.'],
  ['Neutral slope', 'the slope of the plateau at which the thrust vanishes.'],
  ['Margin', 'what a part can bear divided by what it gets. Below 1 it is overloaded.'],
  ['N (newton)', 'a force; 10 N is about the weight of one kilogram.'],
];

function card(words, value, note) {
  return element('li', {}, words, element('b', {}, value), element('span', { class: 'note' }, note));
}

async function thrustCard(facts, rows) {
  const activity = mainActivity(facts), middle = middleInstant(rows);
  const at = (repair, target) => rows.find((r) => r.repair === repair && r.activity === activity && r.stance_percent === middle && r.plateau_angle_target_deg === target && r.converged !== false && r.thrust_n !== null);
  const before = at('none', facts.plateau_angle_deg);
  if (!before) return null;
  const targets = facts.targets_deg.filter((t) => at('levelling', t)), after = targets.length ? at('levelling', usualSlope(targets)) : null;
  return card(`Thrust in a ${spaced(activity)}`, after ? `${whole(before.thrust_n)} → ${whole(after.thrust_n)} N` : newtons(before.thrust_n),
    after ? `the push on the shin bone, before and after levelling to ${figure(after.plateau_angle_target_deg)}°; above 0 forwards, below 0 backwards` : `the push on the shin bone at a slope of ${figure(facts.plateau_angle_deg)}°`);
}

function neutralCard(summary, facts) {
  const activity = mainActivity(facts), at = summary.neutral_by_activity?.[activity];
  if (!Number.isFinite(at)) return null;
  const band = summary.neutral_band?.[activity] ?? (activity === 'walk' ? summary.neutral_band?.stance : null);
  const banded = band && Number.isFinite(band.low);
  return card(`Neutral slope in a ${spaced(activity)}`, `${at.toFixed(1)}°`, `the slope of the plateau at which the push vanishes${banded ? `; in 18 of 20 sampled dogs between ${band.low.toFixed(1)} and ${band.high.toFixed(1)}°` : ', for this one dog'}`);
}

async function marginCard(results, facts) {
  const beyond = beyondMuscle(await stanceRows(results));
  const all = (await results.table('margins.csv')).filter((r) => r.margin !== null), slopes = unique(all.map(slopeOf)).filter((s) => facts.targets_deg.includes(s));
  const worst = least(slopes.length ? all.filter((r) => slopeOf(r) === usualSlope(slopes)) : all);
  if (!worst) return null;
  const when = facts.rig ? '' : worst.stance_percent === null ? usedUp(worst.source) || ', over all weeks' : `, when the dog ${activityWords(worst.activity)} in week ${figure(worst.week)}`;
  return card('Nearest to its limit: margin', marginWords(worst.margin),
    element('span', {}, verdictWord(worst.verdict), `: ${partWords(worst.part)} (${modeWords(worst.mode)})${when}${beyond.has(worst.activity) ? `; ${upperBound}` : ''}. 1 is the limit${knownAs(worst.source) ? `; ${knownAs(worst.source)}` : ''}${slopes.length ? `; plateau at ${figure(slopeOf(worst))}°` : ''}`));
}

async function repairCard(results, facts, rows) {
  const repair = facts.repairs.find((r) => r !== 'none');
  const found = rows.filter((r) => r.repair === repair && r.ligament === 'torn' && r.activity === mainActivity(facts) && r.stance_percent === middleInstant(rows) && r.converged !== false && r.translation_cranial_mm !== null && (repair !== 'levelling' || facts.targets_deg.includes(r.plateau_angle_target_deg)));
  const row = found.find((r) => r.plateau_angle_target_deg === usualSlope(found.map((f) => f.plateau_angle_target_deg)));
  return row ? card(`Tibia after ${operations[repair] ?? spaced(repair)}`, moved(row.translation_cranial_mm), `from its place before the tear, in a ${spaced(row.activity)}; plateau at ${figure(row.plateau_angle_target_deg)}°`) : null;
}

async function glance(results, facts) {
  if (facts.rig) return element('ul', { class: 'numbers glance' }, await marginCard(results, facts) ?? '');
  const summary = await results.json('summary.json'), rows = await stanceRows(results);
  const margin = await marginCard(results, facts);
  return element('ul', { class: 'numbers glance' }, ...[await thrustCard(facts, rows), neutralCard(summary, facts), margin ?? await repairCard(results, facts, rows)].filter(Boolean));
}

async function rig(root, results, facts) {
  root.append(element('p', {}, `A bench test: ${spaced(facts.rig)}. Plate, screws and bone stand in a machine; there is no dog and no joint on this page.`));
  root.append(await glance(results, facts));
  const rows = await results.table('rig.csv');
  if (rows.length)
    root.append(dataTable('What the machine would measure', [
      { title: 'quantity', text: true, name: 'quantity' }, { title: 'value', show: (r) => `${figure(r.value)} ${r.unit === null || r.unit === 1 ? '' : r.unit}` }, { title: 'part', text: true, show: (r) => (r.part === null ? '–' : partWords(r.part)) }], rows),
    element('p', { class: 'note full-only' }, 'Source: rig.csv, with the place of each value.'));
}

function details(facts, levelled) {
  const gap = facts.cut === 'gap' ? ` of ${figure(facts.gap_mm)} mm` : '';
  return dataTable('The run in figures', [{ title: 'input', text: true, show: ([words]) => words }, { title: 'value', text: true, show: ([, value]) => value }], [
    ['Tibia', `${figure(facts.tibia_length_mm)} mm long${facts.surface ? ', shape from a scan' : ''}, plateau ${figure(facts.plateau_angle_deg)}°`],
    ['Joint', `${facts.dimension}-D; load sets ${list(facts.load_sets)}; instants of stance ${list(facts.stance_percent.map((p) => `${figure(p)} %`))}`],
    ...(levelled ? [['Cut', `radius ${figure(facts.saw_radius_mm)} mm, ${spaced(facts.cut)}${gap}`], ['Plate', `${figure(facts.plate_width_mm)} × ${figure(facts.plate_thickness_mm)} mm, ${spaced(facts.plate_material)}`]] : []),
    ['Diary', spaced(facts.diary)], ['Sampled dogs', facts.samples ? figure(facts.samples) : 'none: one dog with middle values'],
  ]);
}

export const asked = {
  title: 'What was asked, and the answer at a glance',
  short: 'Asked and answered',
  async fill(root, results) {
    const { facts } = await results.json('facts.json');
    if (facts.rig) return rig(root, results, facts);
    const torn = facts.ligament.includes('torn'), levelled = facts.repairs.includes('levelling') && facts.targets_deg.length > 0;
    const plans = facts.repairs.filter((r) => r !== 'none').map((r) => `${operations[r] ?? spaced(r)}${r === 'levelling' && levelled ? ` to ${degrees(facts.targets_deg)}` : ''}`);
    const margins = (await results.table('margins.csv')).length > 0;
    root.append(element('p', { class: 'lead' }, `A dog of ${figure(facts.mass_kg)} kg, ${facts.limb} hind limb, ${torn ? 'cranial cruciate ligament torn' : 'cruciate ligaments intact'}, plateau sloping ${figure(facts.plateau_angle_deg)}°. ${plans.length ? `Operation: ${list(plans)}.` : 'No operation.'}`));
    root.append(await glance(results, facts),
      element('p', {}, `Computed for a dog that ${list(facts.activities.map(activityWords))}${margins ? `, in week ${list(facts.weeks.map(String))} after surgery` : '. Plate, screws and bone stress are not among the results'}.`));
    root.append(element('div', { class: 'full-only' }, details(facts, levelled)),
      element('details', { class: 'words' }, element('summary', {}, 'Words used on this page'), element('dl', {}, ...glossary.flatMap(([word, meaning]) => [element('dt', {}, word), element('dd', {}, meaning)]))));
  },
};
