// The repairs of the same torn joint, side by side.
import { dataTable, element, figure, spaced } from './dom.js';

const names = { none: 'no repair', levelling: 'levelling', wedge: 'wedge', suture: 'suture', advancement: 'advancement' };
const side = (v) => (v === null ? '–' : `${Math.abs(v).toFixed(1)} mm ${v < 0 ? 'backwards' : 'forwards'}`);

export const repairs = {
  title: 'The other repairs side by side',
  async fill(root, results) {
    const { facts } = await results.json('facts.json');
    const all = (await results.table('repairs.csv')).filter((r) => r.ligament === 'torn');
    const activity = facts.activities?.includes('walk') ? 'walk' : facts.activities?.[0];
    const instants = [...new Set(all.map((r) => r.stance_percent))];
    const middle = instants.length ? instants.reduce((a, b) => (Math.abs(b - 50) < Math.abs(a - 50) ? b : a)) : null;
    const rows = all.filter((r) => r.activity === activity && r.stance_percent === middle);
    const kinds = new Set(rows.map((r) => r.repair));
    if (kinds.size < 2) {
      root.append(element('p', { class: 'missing' }, 'One state only; `repair.kind` with several words compares them.'));
      return;
    }
    const suture = rows.find((r) => r.repair === 'suture');
    root.append(element('p', {}, `${spaced(activity)[0].toUpperCase()}${spaced(activity).slice(1)}, ${figure(middle)} % of stance, torn ligament: how far the tibia stands from where it stood before the tear, and what the repair itself must carry.${suture && suture.repair_load_n !== null ? ` The suture bears ${suture.repair_load_n.toFixed(0)} N.` : ''}`));
    const margin = (r) => (r.margin_low === null ? '–' : `${figure(r.margin_low)} ${r.verdict_low ?? ''}`);
    root.append(dataTable('Repairs of the torn joint', [
      { title: 'repair', text: true, show: (r) => `${names[r.repair] ?? spaced(r.repair)}${['levelling', 'wedge'].includes(r.repair) ? ` to ${figure(r.plateau_angle_target_deg)}°` : ''}` },
      { title: 'tibia stands', show: (r) => (r.converged ? side(r.subluxation_mm) : 'no pose found') },
      { title: 'turned inwards', show: (r) => (r.rotation_internal_deg === null ? '–' : `${r.rotation_internal_deg.toFixed(1)}°`) },
      { title: 'load on the repair', show: (r) => (r.repair_load_n === null ? 'none of its own' : `${r.repair_load_n.toFixed(0)} N`) },
      { title: 'least margin', text: true, show: margin },
      { title: 'peak pressure', show: (r) => (r.peak_pressure_mpa === null ? '–' : `${r.peak_pressure_mpa.toFixed(1)} MPa`) },
    ], rows));
    if (kinds.size < 4)
      root.append(element('p', { class: 'note' }, 'Repairs that are not listed were not asked for in this scenario.'));
  },
};
