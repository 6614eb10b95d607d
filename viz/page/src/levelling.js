// What levelling changes and what it does not: the drawer by hand against weight bearing, slope by slope.
import { dataTable, element, figure, spaced } from './dom.js';

const side = (v) => `${Math.abs(v).toFixed(1)} mm ${v < 0 ? 'backwards' : 'forwards'}`;

export const levelling = {
  title: 'What levelling changes, and what it does not',
  async fill(root, results) {
    const { facts } = await results.json('facts.json');
    const joint = (await results.table('joint.csv')).filter((r) => r.load_set === 'stance');
    const targets = facts.targets_deg.filter((t) => joint.some((r) => r.repair === 'levelling' && r.plateau_angle_target_deg === t));
    if (!targets.length) {
      root.append(element('p', { class: 'missing' }, 'No levelling was asked for.'));
      return;
    }
    const usual = targets.reduce((a, b) => (Math.abs(b - 6) < Math.abs(a - 6) ? b : a));
    const activity = facts.activities.includes('walk') ? 'walk' : facts.activities[0];
    const middle = [...new Set(joint.map((r) => r.stance_percent))].reduce((a, b) => (Math.abs(b - 50) < Math.abs(a - 50) ? b : a));
    const at = (repair, target, ligament) => joint.find((r) => r.repair === repair && r.ligament === ligament && r.plateau_angle_target_deg === target && r.activity === activity && r.stance_percent === middle);
    const torn = at('none', facts.plateau_angle_deg, 'torn'), levelled = at('levelling', usual, 'torn');
    const hand = (await results.table('passive.csv')).filter((r) => r.test === 'drawer' && r.converged);
    const angle = [...new Set(hand.map((r) => r.stifle_angle_deg))].reduce((a, b) => (a === null || Math.abs(b - 140) < Math.abs(a - 140) ? b : a), null);
    const drawer = (repair, ligament, target) => hand.find((r) => r.repair === repair && r.ligament === ligament && r.stifle_angle_deg === angle && (target === undefined || r.plateau_angle_target_deg === target));
    const loose = drawer('none', 'torn'), after = drawer('levelling', 'torn', usual), intact = drawer('none', 'intact');
    if (torn && levelled && torn.thrust_n !== null && levelled.thrust_n !== null)
      root.append(element('p', {}, `Under weight: levelled from ${figure(facts.plateau_angle_deg)}° to ${figure(usual)}°, the thrust in a ${spaced(activity)} goes from ${Math.abs(torn.thrust_n).toFixed(0)} N ${torn.thrust_n < 0 ? 'backwards' : 'forwards'} to ${Math.abs(levelled.thrust_n).toFixed(0)} N ${levelled.thrust_n < 0 ? 'backwards' : 'forwards'}. The torn ligament is not replaced: what held the tibia before is now the slope${levelled.thrust_n < 0 && levelled.cruciate_caudal_n ? `, and the caudal cruciate ligament takes ${levelled.cruciate_caudal_n.toFixed(0)} N` : ''}.`));
    if (loose && after)
      root.append(element('p', {}, `By hand, without weight: pulling with ${figure(loose.hand_force_n)} N the tibia still comes forward ${loose.translation_cranial_mm.toFixed(1)} mm unoperated and ${after.translation_cranial_mm.toFixed(1)} mm after levelling${intact ? ` (${intact.translation_cranial_mm.toFixed(1)} mm with an intact ligament)` : ''}. A loose knee in the hand is not a failed operation.`));
    const rows = [['none', facts.plateau_angle_deg], ...targets.map((t) => ['levelling', t])].map(([repair, target]) => {
      const row = at(repair, target, 'torn'), tests = drawer(repair, 'torn', repair === 'none' ? undefined : target);
      return { words: repair === 'none' ? `${figure(target)}° (not operated)` : `${figure(target)}°`, row, tests };
    }).filter((r) => r.row);
    const value = (pick, show) => (r) => (r.row.converged === false || pick(r) === null || pick(r) === undefined ? '–' : show(pick(r)));
    root.append(dataTable(`Torn ligament, ${spaced(activity)}, ${figure(middle)} % of stance`, [
      { title: 'plateau angle', text: true, show: (r) => r.words },
      { title: 'thrust', show: value((r) => r.row.thrust_n, (v) => `${v.toFixed(1)} N`) },
      { title: 'tibia against intact', show: value((r) => r.row.translation_cranial_mm, side) },
      { title: 'caudal cruciate', show: value((r) => r.row.cruciate_caudal_n, (v) => `${v.toFixed(1)} N`) },
      { title: 'drawer by hand', show: (r) => (r.tests ? `${r.tests.translation_cranial_mm.toFixed(1)} mm` : '–') },
    ], rows), element('p', { class: 'note' }, 'Thrust above 0 drives the tibia forwards (cranially), below 0 backwards (caudally).'));
  },
};
