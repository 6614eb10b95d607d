// Crouched to straight under one ground force: thrust and cruciate force against the angle of the stifle.
import { choice, element, figure, slider, spaced } from './dom.js';
import { nearest, unique } from './picks.js';
import { jointFigure } from './joint_figure.js';
import { drawnForces } from './joint_picture.js';
import { linePlot } from './plot.js';
import { moved, newtons } from './words.js';

const shapes = { none: 'as grown', levelling: 'levelled', wedge: 'wedge taken out' };
const keyOf = (row) => (row.repair === 'none' ? 'none' : `${row.repair} ${row.plateau_angle_target_deg}`);
const shapeOf = (row) => `${shapes[row.repair] ?? spaced(row.repair)}, ${figure(row.plateau_angle_target_deg)}°`;

function curvesOf(rows, ligament) {
  return ligament === 'torn'
    ? [{ label: 'thrust, N', short: 'thrust', y: rows.map((r) => r.thrust_n) }, { label: 'caudal cruciate, N', short: 'caudal', y: rows.map((r) => r.cruciate_caudal_n) }]
    : [{ label: 'thrust, N', short: 'thrust', y: rows.map((r) => r.thrust_n) }, { label: 'cranial cruciate, N', short: 'cranial', y: rows.map((r) => r.cruciate_cranial_n) }];
}

const poseOf = (row) => [row.base_activity, row.repair, row.plateau_angle_target_deg, row.ligament, row.stifle_angle_deg].join('|');

/** Named points by row, and the largest force among them. */
function poses(rows) {
  const known = new Map();
  for (const p of rows) known.set(poseOf(p), { ...known.get(poseOf(p)), [p.point]: p });
  return { known, largest: Math.max(0, ...[...known.values()].flatMap((points) => drawnForces(points).map((f) => Math.hypot(...f.force)))) };
}

/** rows of posture.csv and posture_pose.csv; adds nothing when there are fewer than two angles. */
export function posture(root, all, { pose, shapes, facts }) {
  const known = all.filter((r) => r.converged && r.base_activity === all[0].base_activity), bones = [...new Map(known.map((r) => [keyOf(r), shapeOf(r)]))], ligaments = unique(known.map((r) => r.ligament));
  const state = { bone: bones[0]?.[0], ligament: ligaments[0], angle: 140 };
  const chosen = () => known.filter((r) => keyOf(r) === state.bone && r.ligament === state.ligament);
  if (known.length < 2 || chosen().length < 2) return;
  const data = () => ({ x: chosen().map((r) => r.stifle_angle_deg), curves: curvesOf(chosen(), state.ligament) });
  const plot = linePlot({ ...data(), title: 'Posture: crouched to straight', xLabel: 'angle of the stifle, degrees (180: straight)', xShort: 'stifle, °', yLabel: 'force, N',
    caption: `One ground force, that of a ${spaced(all[0].base_activity)}; made-up postures. Source: posture.csv, posture_pose.csv.` });
  const { known: points, largest } = poses(pose), picture = shapes && points.size ? jointFigure(shapes, facts, true) : null;
  const reading = element('p', { 'aria-live': 'polite', id: 'posture' });
  const show = () => {
    const row = chosen().find((r) => r.stifle_angle_deg === state.angle);
    const slid = state.ligament === 'torn' ? ` (torn: the tibia stands ${moved(row.translation_cranial_mm)})` : '';
    reading.textContent = `Stifle at ${figure(state.angle)}°: thrust ${row.thrust_n.toFixed(1)} N, cranial cruciate ${row.cruciate_cranial_n.toFixed(1)} N${slid}.`;
    if (picture && points.has(poseOf(row))) picture.show(row, points.get(poseOf(row)), largest);
    plot.mark(state.angle);
  };
  let control = element('span');
  const rebuild = () => {
    const angles = data().x;
    state.angle = nearest(angles, state.angle);
    const next = slider('Stifle angle', angles, angles.indexOf(state.angle), (v) => `${figure(v)}°`, (v) => { state.angle = v; show(); });
    control.replaceWith(next);
    control = next;
  };
  const set = (name) => (value) => {
    state[name] = value;
    rebuild();
    plot.show(data());
    show();
  };
  const one = chosen(), low = one[0], high = one.at(-1);
  root.append(element('h3', {}, 'Posture changes it too'),
    element('p', {}, `The stifle is the dog’s knee. Crouched at ${figure(low.stifle_angle_deg)}° the thrust is ${newtons(low.thrust_n)}; nearly straight at ${figure(high.stifle_angle_deg)}° it is ${newtons(high.thrust_n)}.`),
    element('div', { class: 'controls' }, control, choice('Bone', bones, state.bone, set('bone')), choice('Cranial cruciate', ligaments.map((l) => [l, l]), state.ligament, set('ligament'))), reading, picture ? element('div', { class: 'two' }, picture.node, plot.node) : plot.node);
  rebuild();
  show();
}
