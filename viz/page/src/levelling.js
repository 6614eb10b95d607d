// What levelling changes and what it does not: the drawer by hand against weight bearing, slope by slope.
import { barChart } from './bars.js';
import { dataTable, element, figure, spaced } from './dom.js';
import { mainActivity, middleInstant, nearest, stanceRows, unique, usualSlope } from './picks.js';
import { moved, newtons } from './words.js';

/** The states beside each other: before, then each target; row of joint.csv and the hand test of passive.csv at one stifle angle. */
function states(facts, joint, hand, activity, middle) {
  const at = (repair, target, ligament) => joint.find((r) => r.repair === repair && r.ligament === ligament && r.plateau_angle_target_deg === target && r.activity === activity && r.stance_percent === middle);
  const angle = nearest(unique(hand.map((r) => r.stifle_angle_deg)), 140);
  const drawer = (repair, ligament, target) => hand.find((r) => r.repair === repair && r.ligament === ligament && r.stifle_angle_deg === angle && r.hand_force_n > 0 && (repair === 'none' || r.plateau_angle_target_deg === target)) ?? null;
  const state = (words, repair, ligament, target) => ({ words, row: at(repair, target, ligament), tests: drawer(repair, ligament, target), target, repair });
  const own = facts.plateau_angle_deg;
  return [state(`${figure(own)}°, ligament intact`, 'none', 'intact', own), state(`${figure(own)}°, torn`, 'none', 'torn', own),
    ...facts.targets_deg.map((t) => state(`levelled to ${figure(t)}°`, 'levelling', 'torn', t))].filter((s) => s.row && s.row.converged !== false && s.row.thrust_n !== null);
}

function pictures(all, activity) {
  const hand = all.find((s) => s.tests)?.tests;
  const rows = (pick, show) => all.map((s) => ({ words: s.words, value: pick(s), shown: pick(s) === null || pick(s) === undefined ? 'not computed' : show(pick(s)) }));
  const weight = rows((s) => s.row.translation_cranial_mm, moved), drawer = rows((s) => s.tests?.translation_cranial_mm, (v) => moved(v));
  const range = [...weight, ...drawer].map((r) => r.value).filter((v) => Number.isFinite(v));
  return element('div', { class: 'two' },
    barChart({ title: `Under weight (${spaced(activity)}): where the tibia stands`, rows: weight, range, note: 'Against its place with an intact ligament. This is what levelling changes.' }),
    hand ? barChart({ title: `By hand, ${figure(hand.hand_force_n)} N, no weight: how far it can be pulled`, rows: drawer, range, note: `Drawer test, stifle at ${figure(hand.stifle_angle_deg)}°. This is what it does not change.` }) : '');
}

function table(all, activity, middle) {
  const value = (pick, show) => (s) => (pick(s) === null || pick(s) === undefined ? '–' : show(pick(s)));
  return element('div', { class: 'full-only' }, dataTable(`${spaced(activity)}, ${figure(middle)} % of stance (joint.csv; drawer: passive.csv)`, [
    { title: 'state', text: true, show: (s) => s.words },
    { title: 'slope reached', show: (s) => `${s.row.plateau_angle_deg.toFixed(2)}°` },
    { title: 'thrust', show: (s) => `${s.row.thrust_n.toFixed(1)} N` },
    { title: 'tibia against intact', show: value((s) => s.row.translation_cranial_mm, moved) },
    { title: 'turned inwards', show: value((s) => s.row.rotation_internal_deg, (v) => `${v.toFixed(1)}°`) },
    { title: 'cranial cruciate', show: value((s) => s.row.cruciate_cranial_n, (v) => `${v.toFixed(1)} N`) },
    { title: 'caudal cruciate', show: value((s) => s.row.cruciate_caudal_n, (v) => `${v.toFixed(1)} N`) },
    { title: 'peak pressure', show: value((s) => s.row.peak_pressure_mpa, (v) => `${v.toFixed(1)} MPa`) },
    { title: 'drawer by hand', show: value((s) => s.tests?.translation_cranial_mm, (v) => `${v.toFixed(1)} mm`) },
  ], all), element('p', { class: 'note' }, 'Thrust above 0 drives the tibia forwards (cranially), below 0 backwards (caudally).'));
}

export const levelling = {
  joint: true,
  title: 'What levelling changes, and what it does not',
  short: 'What levelling changes',
  async fill(root, results) {
    const { facts } = await results.json('facts.json'), joint = await stanceRows(results);
    if (!joint.some((r) => r.repair === 'levelling') || !facts.targets_deg.length) {
      root.append(element('p', { class: 'missing' }, 'No levelling was asked for in this run.'));
      return;
    }
    const activity = mainActivity(facts), middle = middleInstant(joint), hand = (await results.table('passive.csv')).filter((r) => r.test === 'drawer' && r.converged);
    const all = states(facts, joint, hand, activity, middle), torn = all.find((s) => s.repair === 'none' && s.row.ligament === 'torn');
    const levelled = all.filter((s) => s.repair === 'levelling'), usual = levelled.find((s) => s.target === usualSlope(levelled.map((l) => l.target)));
    if (!torn || !usual) {
      root.append(element('p', { class: 'missing' }, 'The torn joint before and after levelling is not both among the results.'));
      return;
    }
    const caudal = usual.row.thrust_n < 0 && usual.row.cruciate_caudal_n ? ` Now the caudal cruciate ligament carries ${usual.row.cruciate_caudal_n.toFixed(0)} N.` : '';
    root.append(element('p', {}, `It changes the push under weight. From ${figure(facts.plateau_angle_deg)}° to ${figure(usual.target)}°, the thrust in a ${spaced(activity)} goes from ${newtons(torn.row.thrust_n)} to ${newtons(usual.row.thrust_n)}. The torn ligament is not replaced; the slope does its work.${caudal}`));
    if (torn.tests && usual.tests)
      root.append(element('p', {}, `It does not tighten the joint. Pulled by hand with ${figure(torn.tests.hand_force_n)} N and no weight on the limb, the tibia comes forwards ${torn.tests.translation_cranial_mm.toFixed(1)} mm before and ${usual.tests.translation_cranial_mm.toFixed(1)} mm after. A knee that is loose in the hand does not by itself show a failed operation.`));
    root.append(pictures(all, activity), table(all, activity, middle));
  },
};
