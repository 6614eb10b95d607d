// Why the tibia slides: the joint under load, slope by slope, and where the thrust vanishes.
import { choice, element, figure, slider, spaced } from './dom.js';
import { jointFigure } from './joint_figure.js';
import { nearest, stanceRows, unique } from './picks.js';
import { linePlot } from './plot.js';
import { posture } from './posture.js';
import { Sweep } from './sweep.js';
import { list, moved, upperBound } from './words.js';

function readings() {
  const part = (words, depth) => {
    const value = element('b', {}, '–');
    return { item: element('li', { class: depth }, words, value), value };
  };
  const all = { slope: part('slope of the plateau'), thrust: part('thrust on the tibia'), cruciate: part('cranial cruciate ligament'), moved: part('tibia, against the intact joint as grown'), caudal: part('caudal cruciate ligament', 'full-only'), tendon: part('patellar tendon', 'full-only') };
  all.thrust.value.id = 'thrust';
  all.cruciate.value.id = 'cruciate';
  return { node: element('ul', { class: 'numbers', 'aria-live': 'polite' }, ...Object.values(all).map((r) => r.item)), all };
}

function tell(all, row) {
  const set = (reading, words, value) => {
    reading.value.textContent = words;
    reading.value.dataset.value = value ?? '';
  };
  const force = (v) => (v === null ? '–' : `${v.toFixed(1)} N`);
  set(all.slope, `${figure(row.plateau_angle_deg)}°`, row.plateau_angle_deg);
  if (row.converged === false) {
    for (const name of ['thrust', 'cruciate', 'caudal', 'moved', 'tendon']) set(all[name], 'no pose found', null);
    return;
  }
  set(all.thrust, row.thrust_n === null ? '–' : `${Math.abs(row.thrust_n).toFixed(1)} N ${row.thrust_n < 0 ? 'backwards (caudally)' : 'forwards (cranially)'}`, row.thrust_n);
  set(all.cruciate, row.ligament === 'torn' ? 'torn: 0 N' : force(row.cruciate_cranial_n), row.cruciate_cranial_n);
  set(all.caudal, force(row.cruciate_caudal_n), row.cruciate_caudal_n);
  set(all.moved, moved(row.translation_cranial_mm), row.translation_cranial_mm);
  set(all.tendon, force(row.patellar_tendon_n), row.patellar_tendon_n);
}

const loadSets = { press: 'cadaver in a press', tendon: 'force along tendon', axial: 'force along tibia' };

/** Where the thrust vanishes, a lane for each load: {label, at, low, high}. */
function neutralLanes(summary) {
  const bands = summary.neutral_band ?? {}, angles = summary.neutral_plateau_angle_deg ?? {}, by = summary.neutral_by_activity ?? {};
  const band = (name) => bands[name] ?? (name === 'walk' ? bands.stance : null) ?? {};
  const lane = (name, words, at) => {
    const { low, high } = band(name), banded = Number.isFinite(low) && Number.isFinite(high);
    return { label: `${words} ${at.toFixed(1)}°${banded ? ` (${low.toFixed(1)} to ${high.toFixed(1)})` : ''}`, at, low, high };
  };
  const found = (all) => Object.entries(all).filter(([, at]) => Number.isFinite(at)).sort((a, b) => a[1] - b[1]);
  return [...found(by).map(([name, at]) => lane(name, spaced(name), at)),
    ...found(angles).filter(([name]) => name !== 'stance' || !found(by).length).map(([name, at]) => lane(name, loadSets[name] ?? spaced(name), at))];
}

function live(root, sweep, summary, { shapes, facts }) {
  const { node, all } = readings(), lanes = neutralLanes(summary), middle = Number.isFinite(sweep.middle) ? `, ${figure(sweep.middle)} % of stance` : '';
  const curves = () => ({ ...sweep.curves(), title: 'Thrust against slope of the plateau', xLabel: 'slope of the plateau, degrees', xShort: 'slope, °', yLabel: 'thrust, N (above 0: forwards)', lanes, lanesTitle: 'neutral slope once levelled: no thrust',
    caption: `One curve for each activity${middle}. Upright line: the slope chosen. Dots below: the neutral slope, where a levelling leaves no thrust${lanes.some((l) => Number.isFinite(l.low)) ? '; bars: 18 of 20 sampled dogs' : ''}.` });
  const plot = linePlot(curves()), picture = shapes ? jointFigure(shapes, facts) : null;
  const repairs = unique(sweep.rows.map((r) => r.repair)).filter((r) => ['none', 'levelling', 'wedge'].includes(r));
  const words = { none: 'the dog grew it', levelling: 'levelling made it', wedge: 'a wedge made it' };
  const shown = element('p', { class: 'note' });
  const show = () => {
    const row = sweep.row(), points = row && sweep.points(row);
    if (!row) return;
    tell(all, row);
    shown.textContent = `${sweep.state.activity.replaceAll('_', ' ')}, cranial cruciate ${sweep.state.ligament}, ${words[sweep.state.repair] ?? sweep.state.repair}${row.beyond_muscle_cap === true ? `; ${upperBound}` : ''}.`;
    if (points?.femur_origin) picture?.show(row, points, sweep.largest());
    else picture?.clear();
    plot.mark(sweep.state.slope);
  };
  let slopeControl = element('span');
  const rebuild = () => {
    const slopes = sweep.slopes();
    sweep.state.slope = nearest(slopes, sweep.state.slope);
    const next = slider('Slope of the plateau', slopes, slopes.indexOf(sweep.state.slope), (v) => `${v}°`, (v) => { sweep.state.slope = v; show(); });
    next.querySelector('input').id = 'slope';
    slopeControl.replaceWith(next);
    slopeControl = next;
  };
  const set = (name) => (value) => {
    sweep.state[name] = value;
    if (name === 'repair') rebuild();
    plot.show(curves());
    show();
  };
  root.append(element('div', { class: 'controls' }, slopeControl,
    choice('The slope is there because', repairs.map((r) => [r, words[r]]), sweep.state.repair, set('repair')),
    choice('Cranial cruciate', unique(sweep.rows.map((r) => r.ligament)).map((l) => [l, l]), sweep.state.ligament, set('ligament')),
    choice('Activity', sweep.activities.map((a) => [a, spaced(a)]), sweep.state.activity, set('activity'))));
  rebuild();
  root.append(shown, node, element('div', { class: 'two stack' }, picture?.node ?? element('p', { class: 'missing' }, 'No outline of the bones is among the results, so the drawing is left out.'), plot.node));
  show();
}

function told(sweep, facts) {
  const here = sweep.row({ slope: facts.plateau_angle_deg }), activity = spaced(sweep.state.activity);
  if (!here || here.thrust_n === null) return null;
  const slid = here.ligament === 'torn' && here.translation_cranial_mm !== null ? `: here by ${moved(here.translation_cranial_mm)}` : '';
  return element('p', {}, `The plateau is the top of the tibia (shin bone). In this dog it slopes backwards by ${figure(facts.plateau_angle_deg)}°. Under weight, muscles press the thigh bone onto this slope, and the tibia is pushed ${here.thrust_n < 0 ? 'backwards' : 'forwards'}: in a ${activity} with ${Math.abs(here.thrust_n).toFixed(0)} N. This push is the thrust. ${here.thrust_n < 0 ? 'The caudal (rear) cruciate ligament holds it.' : `The cranial cruciate ligament holds it. Once it is torn, the tibia slides${slid}.`}`);
}

function neutralWords(summary) {
  const by = Object.entries(summary.neutral_by_activity ?? {}).filter(([, at]) => Number.isFinite(at));
  const sets = Object.entries(summary.neutral_plateau_angle_deg ?? {}).filter(([name, at]) => name !== 'stance' && Number.isFinite(at));
  if (!by.length && !sets.length) return element('p', { class: 'missing' }, 'No neutral slope was found in this run.');
  return element('div', {},
    by.length ? element('p', {}, `In general, the flatter the plateau, the smaller the thrust. At the neutral slope it vanishes; flatter still, it turns round and loads the caudal (rear) cruciate ligament. Near it, where one ligament hands over to the other, a curve can cross more than once; the first slope that a levelling meets is given. The neutral slope of this dog once levelled: ${list(by.sort((a, b) => a[1] - b[1]).map(([name, at]) => `${spaced(name)} ${at.toFixed(1)}°`))}. There is no one angle for all loads.`) : null,
    sets.length ? element('p', { class: 'full-only' }, `Other load sets, for comparison with experiments: ${list(sets.map(([name, at]) => `${loadSets[name] ?? spaced(name)} ${at.toFixed(1)}°`))}. Neutral slopes are those of levelled bone (the insertion of the patellar tendon stays), intact joint, mid-stance. Source: summary.json, neutral_plateau_angle_deg and neutral_by_activity.`) : null);
}

export const slides = {
  joint: true,
  title: 'Why the tibia slides',
  async fill(root, results) {
    const { facts, shapes } = await results.json('facts.json'), joint = await stanceRows(results);
    if (!joint.length) {
      root.append(element('p', { class: 'missing' }, 'This run computed no joint under full balance (load set stance).'));
      return;
    }
    const summary = await results.json('summary.json'), pose = (await results.table('joint_pose.csv')).filter((r) => r.load_set === 'stance');
    const sweep = new Sweep(joint, pose, facts), words = told(sweep, facts);
    if (words) root.append(words);
    live(root, sweep, summary, { shapes, facts });
    root.append(neutralWords(summary));
    posture(root, await results.table('posture.csv'), { pose: await results.table('posture_pose.csv'), shapes, facts });
  },
};
