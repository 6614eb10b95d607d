// Why the tibia slides: the joint under load, slope by slope, and where the thrust vanishes.
import { choice, element, figure, slider, spaced } from './dom.js';
import { drawnForces, JointPicture } from './joint_picture.js';
import { linePlot, save } from './plot.js';

const nearest = (values, wanted) => values.reduce((best, v, i) => (Math.abs(v - wanted) < Math.abs(values[best] - wanted) ? i : best), 0);
const unique = (values) => [...new Set(values)];
const key = (row) => [row.repair, row.ligament, row.activity, row.stance_percent, row.plateau_angle_target_deg].join('|');

/** Newtons a millimetre of bone stands for: 1, 2 or 5 times a power of ten, the largest force at most 50 mm long. */
function forceScale(largest) {
  const rough = Math.max(largest, 1) / 50, power = 10 ** Math.floor(Math.log10(rough)), lead = rough / power;
  return (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10) * power;
}

class Sweep {
  constructor(rows, pose, facts, shapes) {
    this.rows = rows;
    this.facts = facts;
    this.pose = new Map();
    for (const p of pose) {
      const k = key(p);
      if (!this.pose.has(k)) this.pose.set(k, {});
      this.pose.get(k)[p.point] = p;
    }
    this.state = { repair: rows.some((r) => r.repair === 'none') ? 'none' : rows[0].repair, ligament: rows.some((r) => r.ligament === 'torn') ? 'torn' : 'intact',
      activity: facts.activities.includes('walk') ? 'walk' : facts.activities[0], slope: facts.plateau_angle_deg };
    this.picture = shapes ? new JointPicture(shapes) : null;
    const largest = Math.max(...[...this.pose.values()].flatMap((points) => drawnForces(points).map((f) => Math.hypot(...f.force))));
    this.newtonsPerMm = forceScale(largest);
  }
  instants() {
    return unique(this.rows.map((r) => r.stance_percent)).filter((v) => v !== null);
  }
  middle() {
    const all = this.instants();
    return all[nearest(all, 50)];
  }
  chosen(slope = this.state.slope, ligament = this.state.ligament) {
    const { repair, activity } = this.state;
    return this.rows.find((r) => r.repair === repair && r.ligament === ligament && r.activity === activity && r.stance_percent === this.middle() && r.plateau_angle_target_deg === slope);
  }
  slopes() {
    return unique(this.rows.filter((r) => r.repair === this.state.repair).map((r) => r.plateau_angle_target_deg)).sort((a, b) => b - a);
  }
}

function readings() {
  const part = (words) => {
    const value = element('b', {}, '–');
    return { item: element('li', {}, words, value), value };
  };
  const all = { slope: part('plateau angle'), thrust: part('thrust on the tibia'), cruciate: part('cranial cruciate'), caudal: part('caudal cruciate'), moved: part('tibia against the intact joint'), tendon: part('patellar tendon') };
  all.thrust.value.id = 'thrust';
  all.cruciate.value.id = 'cruciate';
  return { node: element('ul', { class: 'numbers', 'aria-live': 'polite' }, ...Object.values(all).map((r) => r.item)), all };
}

function tell(all, row) {
  const set = (reading, words, value) => {
    reading.value.textContent = words;
    reading.value.dataset.value = value ?? '';
  };
  const newtons = (v) => (v === null ? '–' : `${v.toFixed(1)} N`);
  set(all.slope, `${figure(row.plateau_angle_deg)}°`, row.plateau_angle_deg);
  if (row.converged === false) {
    for (const name of ['thrust', 'cruciate', 'caudal', 'moved', 'tendon']) set(all[name], 'no pose found', null);
    return;
  }
  set(all.thrust, `${Math.abs(row.thrust_n).toFixed(1)} N ${row.thrust_n < 0 ? 'backwards (caudally)' : 'forwards (cranially)'}`, row.thrust_n);
  set(all.cruciate, row.ligament === 'torn' ? 'torn: 0 N' : newtons(row.cruciate_cranial_n), row.cruciate_cranial_n);
  set(all.caudal, newtons(row.cruciate_caudal_n), row.cruciate_caudal_n);
  set(all.moved, row.translation_cranial_mm === null ? '–' : `${Math.abs(row.translation_cranial_mm).toFixed(1)} mm ${row.translation_cranial_mm < 0 ? 'backwards' : 'forwards'}`, row.translation_cranial_mm);
  set(all.tendon, newtons(row.patellar_tendon_n), row.patellar_tendon_n);
}

/** Thrust against slope, a curve for each activity, at the instant of the picture. */
function thrustCurves(sweep) {
  const slopes = [...sweep.slopes()].reverse(), { repair, ligament } = sweep.state;
  const at = (activity, slope) => {
    const row = sweep.rows.find((r) => r.repair === repair && r.ligament === ligament && r.activity === activity && r.stance_percent === sweep.middle() && r.plateau_angle_target_deg === slope);
    return row && row.converged !== false ? row.thrust_n : null;
  };
  return { x: slopes, curves: sweep.facts.activities.map((activity) => ({ label: `${spaced(activity)}, N`, y: slopes.map((s) => at(activity, s)) })) };
}

function neutralTable(summary) {
  const sets = { axial: 'force along the tibia, no muscle', tendon: 'foot force parallel to the tendon', press: 'cadaver limb in a press', stance: 'full balance, walk, mid-stance' };
  const band = (name) => {
    const b = summary.neutral_band?.[name];
    return b && b.low !== undefined ? ` (band ${figure(b.low)} to ${figure(b.high)}°)` : '';
  };
  const rows = [
    ...Object.entries(summary.neutral_plateau_angle_deg ?? {}).filter(([, v]) => v !== null).map(([name, v]) => [`${name}: ${sets[name] ?? ''}`, v, band(name)]),
    ...Object.entries(summary.neutral_by_activity ?? {}).filter(([, v]) => v !== null).map(([name, v]) => [`this dog, ${spaced(name)}, mid-stance`, v, band(name)])];
  return element('ul', {}, ...rows.map(([words, v, b]) => element('li', {}, `${words}: ${v.toFixed(1)}°${b}`)));
}

function live(root, sweep, summary) {
  const { node, all } = readings();
  const curves = () => ({ ...thrustCurves(sweep), title: 'Thrust on the tibia against plateau angle', xLabel: 'plateau angle, degrees', yLabel: 'thrust, N (above 0: forwards)',
    vertical: sweep.facts.activities.map((a) => summary.neutral_by_activity?.[a]).filter((v) => Number.isFinite(v)).map((at) => ({ at })),
    caption: 'Dotted: where the thrust of an activity vanishes after levelling. Line: the slope chosen.' });
  const plot = linePlot(curves());
  const show = () => {
    const row = sweep.chosen();
    if (!row) return;
    tell(all, row);
    const points = sweep.pose.get(key(row));
    if (sweep.picture && points?.femur_origin) sweep.picture.show({ row, points, newtonsPerMm: sweep.newtonsPerMm });
    plot.mark(sweep.state.slope);
  };
  let slopeControl = null;
  const rebuild = () => {
    const slopes = sweep.slopes(), start = nearest(slopes, sweep.state.slope);
    sweep.state.slope = slopes[start];
    const next = slider('Plateau angle', slopes, start, (v) => `${v}°`, (v) => { sweep.state.slope = v; show(); });
    next.querySelector('input').id = 'slope';
    if (slopeControl) slopeControl.replaceWith(next);
    slopeControl = next;
  };
  const set = (name) => (value) => {
    sweep.state[name] = value;
    if (name === 'repair') rebuild();
    plot.show(curves());
    show();
  };
  rebuild();
  const repairs = unique(sweep.rows.map((r) => r.repair)).filter((r) => ['none', 'levelling', 'wedge'].includes(r));
  const words = { none: 'the dog was born with it', levelling: 'levelling made it', wedge: 'a wedge made it' };
  const controls = element('div', { class: 'controls' }, slopeControl,
    choice('The slope is there because', repairs.map((r) => [r, words[r]]), sweep.state.repair, set('repair')),
    choice('Cranial cruciate', unique(sweep.rows.map((r) => r.ligament)).map((l) => [l, l]), sweep.state.ligament, set('ligament')),
    choice('Activity', sweep.facts.activities.map((a) => [a, spaced(a)]), sweep.state.activity, set('activity')));
  const drawing = sweep.picture
    ? element('figure', {}, sweep.picture.svg,
      element('div', { class: 'tools' }, element('button', { type: 'button', onclick: () => save('joint.svg', sweep.picture.svg.outerHTML, 'image/svg+xml') }, 'Save as SVG')),
      element('figcaption', {}, `Forces on the tibia from the inner side, projected on the plane of the picture; 1 cm of bone stands for ${figure(10 * sweep.newtonsPerMm)} N. Bone outlines are a sketch; places and forces are computed. Hollow arrow: thrust, the sum of muscle, ground and weight along the plateau.`))
    : element('p', { class: 'missing' }, 'No outline of this bone: the drawing is left out.');
  root.append(controls, node, element('div', { class: 'two' }, drawing, plot.node));
  show();
}

/** Crouched to straight under one ground force. */
function posture(root, rows) {
  const one = rows.filter((r) => r.repair === 'none' && r.ligament === 'intact' && r.converged && r.base_activity === rows[0].base_activity);
  if (one.length < 2) return;
  const angles = one.map((r) => r.stifle_angle_deg);
  const plot = linePlot({ title: 'Posture: crouched to straight', x: angles, xLabel: 'stifle angle, degrees (180 is straight)', yLabel: 'force, N', caption: 'Intact, unoperated joint, one ground force, synthetic postures.',
    curves: [{ label: 'thrust, N', y: one.map((r) => r.thrust_n) }, { label: 'cranial cruciate, N', y: one.map((r) => r.cruciate_cranial_n) }] });
  const reading = element('p', { 'aria-live': 'polite', id: 'posture' });
  const show = (angle) => {
    const row = one.find((r) => r.stifle_angle_deg === angle);
    reading.textContent = `Stifle at ${angle}°: thrust ${row.thrust_n.toFixed(1)} N, cranial cruciate ${row.cruciate_cranial_n.toFixed(1)} N.`;
    plot.mark(angle);
  };
  root.append(element('h3', {}, 'The same for posture'),
    element('div', { class: 'controls' }, slider('Stifle angle', angles, nearest(angles, 140), (v) => `${v}°`, show)), reading, plot.node);
  show(angles[nearest(angles, 140)]);
}

export const slides = {
  title: 'Why the tibia slides',
  async fill(root, results) {
    const { facts, shapes } = await results.json('facts.json');
    const joint = (await results.table('joint.csv')).filter((r) => r.load_set === 'stance');
    if (!joint.length) {
      root.append(element('p', { class: 'missing' }, 'This run computed no joint.'));
      return;
    }
    const summary = await results.json('summary.json');
    const pose = (await results.table('joint_pose.csv')).filter((r) => r.load_set === 'stance');
    const sweep = new Sweep(joint, pose, facts, shapes);
    const here = sweep.chosen(facts.plateau_angle_deg, 'torn') ?? sweep.chosen();
    if (here)
      root.append(element('p', {}, `The top of the tibia (the plateau) falls backwards by ${figure(facts.plateau_angle_deg)}°. When the dog puts weight on the limb, muscles and ground press the thigh bone onto this slope, and in a ${spaced(sweep.state.activity)} the tibia is driven ${here.thrust_n < 0 ? 'backwards' : 'forwards'} with ${Math.abs(here.thrust_n).toFixed(0)} N. The cranial cruciate ligament holds it; once torn, the tibia slides${here.ligament === 'torn' && here.translation_cranial_mm !== null ? ` ${Math.abs(here.translation_cranial_mm).toFixed(1)} mm ${here.translation_cranial_mm < 0 ? 'backwards' : 'forwards'}` : ''}.`));
    live(root, sweep, summary);
    root.append(element('h3', {}, 'Where the thrust vanishes (neutral slope)'), neutralTable(summary));
    posture(root, await results.table('posture.csv'));
  },
};
