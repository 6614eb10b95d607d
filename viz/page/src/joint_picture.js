// The sagittal picture of the joint: bone outlines of the slope, femur and patella where they were computed, forces as arrows.
// Cranial to the left (medial view of a right limb), as in the pictures of the results folder.
import { way } from './words.js';

const names = {
  patellar_tendon: ['patellar tendon', '--curve-2'], cruciate_cranial: ['cranial cruciate', '--curve-4'],
  cruciate_caudal: ['caudal cruciate', '--curve-4'], secondary: ['soft tissue', '--curve-4'], capsule: ['capsule', '--curve-4'],
  collateral_medial: ['medial collateral', '--curve-4'], collateral_lateral: ['lateral collateral', '--curve-4'],
  suture: ['suture', '--curve-3'], hamstrings: ['hamstrings', '--curve-2'], popliteus: ['popliteus', '--curve-2'],
  calcanean_share: ['calcanean share', '--curve-2'],
};
const width = 620, height = 520, room = 150; // of the words at both edges
const longest = 260, shortest = 16; // pixels of an arrow
const least = 1; // N: below it nothing is drawn

/** Largest of 1, 2, 5 times a power of ten that is not above `value` (> 0). */
function roundDown(value) {
  const power = 10 ** Math.floor(Math.log10(value)), lead = value / power;
  return (lead >= 5 ? 5 : lead >= 2 ? 2 : 1) * power;
}

/** Below this an arrow keeps its length: N, when `largest` is the force of the longest one. */
export const clampedBelow = (largest) => (shortest / longest) * largest;

/** The arrows of a pose: both contacts as one, everything else as in the file; sagittal. */
export function drawnForces(points) {
  const found = [], medial = points.contact_medial, lateral = points.contact_lateral;
  if (medial && lateral) {
    const a = Math.hypot(medial.fx_n, medial.fy_n, medial.fz_n), b = Math.hypot(lateral.fx_n, lateral.fy_n, lateral.fz_n);
    const share = a + b > 0 ? b / (a + b) : 0.5;
    found.push({ at: [(1 - share) * medial.x_mm + share * lateral.x_mm, (1 - share) * medial.z_mm + share * lateral.z_mm],
      force: [medial.fx_n + lateral.fx_n, medial.fz_n + lateral.fz_n], words: 'contact', colour: '--curve-1' });
  }
  for (const [name, [words, colour]] of Object.entries(names))
    for (const point of [points[name], points[`${name}_distal`]])
      if (point) found.push({ at: [point.x_mm, point.z_mm], force: [point.fx_n, point.fz_n], words, colour });
  return found;
}

export class JointPicture {
  constructor(shapes) {
    this.shapes = shapes;
    this.svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
    this.svg.setAttribute('viewBox', `0 0 ${width} ${height}`);
    this.svg.setAttribute('role', 'img');
    const [low, high, middle] = shapes.view;
    this.scale = (height - 20) / (high - low);
    this.px = ([x, z]) => [width / 2 - (x - middle) * this.scale, height - 10 - (z - low) * this.scale];
  }
  #add(name, attributes, text) {
    const node = document.createElementNS(this.svg.namespaceURI, name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    if (text !== undefined) node.textContent = text;
    this.svg.append(node);
    return node;
  }
  #path(points, closed = false) {
    return points.map((p, i) => `${i ? 'L' : 'M'}${this.px(p).map((v) => v.toFixed(1)).join(' ')}`).join('') + (closed ? 'Z' : '');
  }
  #arrow(from, to, colour, hollow = false) {
    const [x0, y0] = from, [x1, y1] = to, length = Math.hypot(x1 - x0, y1 - y0);
    if (length < 3) return;
    const u = [(x1 - x0) / length, (y1 - y0) / length], s = [-u[1], u[0]], head = Math.min(13, length), neck = [x1 - u[0] * head, y1 - u[1] * head];
    const half = hollow ? 4 : 2, wide = hollow ? 9 : 6.5;
    const corner = (p, k) => `${(p[0] + s[0] * k).toFixed(1)},${(p[1] + s[1] * k).toFixed(1)}`;
    this.#add('polygon', { points: [corner(from, half), corner(neck, half), corner(neck, wide), `${x1.toFixed(1)},${y1.toFixed(1)}`, corner(neck, -wide), corner(neck, -half), corner(from, -half)].join(' '),
      fill: hollow ? 'var(--paper)' : `var(${colour})`, stroke: hollow ? 'var(--ink)' : 'var(--paper)', 'stroke-width': hollow ? 2 : 1 });
  }

  /** row of joint.csv, its named points, the largest force of all pictures that are to share a scale (N). */
  show({ row, points, largest }) {
    this.svg.replaceChildren();
    const shape = this.shapes.tibias.find((t) => t.repair === row.repair && t.target_deg === row.plateau_angle_target_deg);
    if (!shape) return;
    this.#femur(row, points);
    this.#tibia(shape);
    this.#softTissue(shape, row, points);
    this.#forces(shape, row, points, longest / Math.max(largest, least));
  }
  #turn(row, origin) {
    const angle = Math.PI - (row.stifle_angle_deg * Math.PI) / 180, c = Math.cos(angle), s = Math.sin(angle);
    return ([x, z]) => [origin.x_mm + c * x + s * z, origin.z_mm - s * x + c * z];
  }
  #femur(row, points) {
    const femur = this.shapes.femur, place = this.#turn(row, points.femur_origin);
    const circle = (centre, r, attributes) => {
      const [cx, cy] = this.px(centre);
      this.#add('circle', { cx, cy, r: r * this.scale, ...attributes });
    };
    this.#add('path', { d: this.#path(femur.shaft.map(place), true), fill: 'var(--femur)' });
    circle(place(femur.trochlea), femur.trochlea_radius, { fill: 'var(--femur)', stroke: 'var(--soft)' });
    circle([points.femur_origin.x_mm, points.femur_origin.z_mm], femur.condyle_radius, { fill: 'var(--femur)', stroke: 'var(--cartilage)', 'stroke-width': 4 });
  }
  #tibia(shape) {
    this.#add('path', { d: this.#path(shape.whole, true), fill: 'var(--bone)', stroke: 'var(--bone-edge)', 'stroke-width': 1.6 });
    if (shape.moved.length) {
      this.#add('path', { d: this.#path(shape.left, true), fill: 'var(--paper)', stroke: 'var(--bone-edge)', 'stroke-dasharray': '2 4' });
      this.#add('path', { d: this.#path(shape.moved, true), fill: 'var(--bone)', stroke: 'var(--bone-edge)', 'stroke-width': 1.6 });
    }
    this.#add('path', { d: this.#path(shape.surface), fill: 'none', stroke: 'var(--cartilage)', 'stroke-width': 5 });
    this.#add('path', { d: this.#path(shape.chord), fill: 'none', stroke: 'var(--ink)', 'stroke-width': 1.6, 'stroke-dasharray': '7 5', class: 'plateau' });
  }
  #softTissue(shape, row, points) {
    const place = this.#turn(row, points.femur_origin), femur = this.shapes.femur;
    const patella = [points.patella.x_mm, points.patella.z_mm];
    const line = (a, b, attributes) => this.#add('path', { d: this.#path([a, b]), fill: 'none', ...attributes });
    line(shape.insertion, patella, { stroke: 'var(--soft)', 'stroke-width': 6, 'stroke-opacity': 0.6, class: 'tendon' });
    const [cx, cy] = this.px(patella);
    this.#add('circle', { cx, cy, r: 4.5 * this.scale, fill: 'var(--femur)', stroke: 'var(--bone-edge)', 'stroke-width': 2 });
    const torn = row.ligament === 'torn';
    line(shape.cranial_cruciate, place(femur.cranial_cruciate), { stroke: 'var(--ink)', 'stroke-width': torn ? 1.6 : 4, ...(torn ? { 'stroke-dasharray': '2 5' } : {}) });
    line(shape.caudal_cruciate, place(femur.caudal_cruciate), { stroke: 'var(--soft)', 'stroke-width': 4 });
  }
  #forces(shape, row, points, pixelsPerNewton) {
    const labels = [];
    const put = (at, [fx, fz], words, colour, hollow) => {
      const from = this.px(at), size = Math.hypot(fx, fz), long = Math.max(size * pixelsPerNewton, shortest) / size;
      const to = [from[0] - fx * long, from[1] - fz * long];
      this.#arrow(from, to, colour, hollow);
      labels.push({ middle: [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2], words, colour: hollow ? '--ink' : colour });
    };
    for (const { at, force, words, colour } of drawnForces(points)) {
      const size = Math.hypot(...force);
      if (size >= least) put(at, force, `${words} ${size.toFixed(0)} N`, colour);
    }
    this.#scaleBar(pixelsPerNewton);
    const [a, b] = shape.chord, length = Math.hypot(b[0] - a[0], b[1] - a[1]), chord = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
    const from = [shape.origin[0] + 9 * chord[1], shape.origin[1] - 9 * chord[0]];
    if (Math.abs(row.thrust_n) >= least) put(from, [chord[0] * row.thrust_n, chord[1] * row.thrust_n], `thrust ${Math.abs(row.thrust_n).toFixed(0)} N ${way(row.thrust_n)}`, '--ink', true);
    this.#labels(labels.filter((l) => l.middle[0] < width / 2), true);
    this.#labels(labels.filter((l) => l.middle[0] >= width / 2), false);
    const said = (words) => words.replace(/forwards$/, 'cranially').replace(/backwards$/, 'caudally');
    this.svg.setAttribute('aria-label', `Forces on the tibia: ${labels.map((l) => said(l.words)).join('; ')}`);
  }
  #scaleBar(pixelsPerNewton) {
    const force = roundDown(110 / pixelsPerNewton), long = force * pixelsPerNewton, y = height - 14, x = 10;
    this.#add('path', { d: `M${x} ${y - 5}V${y + 5}M${x} ${y}H${x + long}M${x + long} ${y - 5}V${y + 5}`, fill: 'none', stroke: 'var(--soft)', 'stroke-width': 2 });
    this.#add('text', { x: x + long + 8, y: y + 5, fill: 'var(--soft)', 'font-size': 14 }, `${force} N`);
  }
  /** Words at the edge in the order of their arrows, never nearer than a line apart, joined to the arrow. */
  #labels(items, left) {
    items.sort((p, q) => p.middle[1] - q.middle[1]);
    let above = -Infinity;
    for (const item of items) item.y = above = Math.max(item.middle[1], above + 24, 20);
    let below = height - 40;
    for (const item of [...items].reverse()) item.y = Math.min(item.y, below), below = item.y - 24;
    for (const item of items) {
      const x = left ? 6 : width - 6;
      const text = this.#add('text', { x, y: item.y, fill: `var(${item.colour})`, 'font-size': 15, 'font-weight': 700, 'text-anchor': left ? 'start' : 'end', 'dominant-baseline': 'middle' }, item.words);
      const long = Math.min(text.getComputedTextLength?.() || room, room + 60);
      this.#add('line', { x1: left ? x + long + 4 : x - long - 4, y1: item.y, x2: item.middle[0], y2: item.middle[1], stroke: `var(${item.colour})`, 'stroke-width': 1 });
    }
  }
}
