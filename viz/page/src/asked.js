// What was asked: dog, side, operation, and what the run computed for it.
import { element, figure, spaced } from './dom.js';

const operations = { none: 'no repair', levelling: 'levelling of the tibial plateau (TPLO)', wedge: 'a closing wedge', suture: 'a suture beside the joint', advancement: 'advancement of the tuberosity' };
const list = (words) => (words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`);
const degrees = (values) => list(values.map((v) => `${figure(v)}°`));

export const asked = {
  title: 'What was asked',
  async fill(root, results) {
    const { facts: f } = await results.json('facts.json');
    if (f.rig) {
      root.append(element('p', {}, `The construct on a bench: ${spaced(f.rig)}. No dog stands on it, so there is no joint on this page.`));
      return;
    }
    const torn = f.ligament.includes('torn');
    root.append(element('p', {}, `A dog of ${figure(f.mass_kg)} kg, ${f.limb} hind limb, ${torn ? 'with a torn cranial cruciate ligament' : 'with intact cruciate ligaments'}. Its tibial plateau, the top of the shin bone, falls backwards by ${figure(f.plateau_angle_deg)}°.`));
    const levelled = f.repairs.includes('levelling') && f.targets_deg.length > 0;
    root.append(element('p', {}, `Compared: ${list(f.repairs.map((r) => operations[r] ?? spaced(r)))}${levelled ? `, to ${degrees(f.targets_deg)}` : ''}; ${list(f.activities.map(spaced))}; week ${list(f.weeks.map(String))} after surgery.`));
    if (levelled)
      root.append(element('p', { class: 'full-only' }, `Saw radius ${figure(f.saw_radius_mm)} mm; plate ${figure(f.plate_width_mm)} × ${figure(f.plate_thickness_mm)} mm of ${spaced(f.plate_material)}; cut ${spaced(f.cut)}${f.cut === 'gap' ? ` of ${figure(f.gap_mm)} mm` : ''}; tibia ${figure(f.tibia_length_mm)} mm; instants of stance ${list(f.stance_percent.map((p) => `${figure(p)} %`))}; joint in ${f.dimension} dimensions; diary: ${spaced(f.diary)}; load sets: ${list(f.load_sets)}${f.samples ? `; ${f.samples} sampled dogs` : ''}.`));
  },
};
