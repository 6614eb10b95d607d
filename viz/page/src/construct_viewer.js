// Controls, legend, readings and still pictures around the three-dimensional view; without WebGL the same with still pictures.
import { colourLegend } from './colour_legend.js';
import { fields, isBone, largest, readField, readSurface, topOf } from './construct_data.js';
import { ConstructView } from './construct_view.js';
import { choice, element, figure, slider } from './dom.js';
import { activityWords, capital, partWords } from './words.js';

const unique = (values) => [...new Set(values)];
const slopeWords = (s) => `${figure(s.target_deg)}°${s.operated ? '' : ' (not operated)'}`;
const stateWords = (s) => `${activityWords(s.activity)}${s.percent ? `, ${figure(s.percent)} % of stance (paw on the ground)` : ''}`;
/** A bone without a cut counts as below it (design.md): its words do not name a cut. */
const inWords = (part, surface) => (surface.parts.some((p) => p.name.endsWith('_proximal')) ? partWords(part) : partWords(part).replace(' below the cut', ''));
const usualSlope = 6; // degrees, the usual goal of levelling

class Viewer {
  constructor(results, index) {
    Object.assign(this, { results, states: index.states, surfaces: index.surfaces, field: 'von_mises', hold: true, bone: 'clear', at: 0, times: 0, turn: 0 });
    this.range = element('p', { id: 'range', 'aria-live': 'polite' });
    this.hover = element('p', { class: 'note', id: 'hover', 'aria-live': 'polite' }, 'Point at the construct: value and part are told here.');
    this.still = element('figure', { class: 'still' });
    this.legend = colourLegend();
    this.list = element('ol', { class: 'largest' });
    this.holders = Object.fromEntries(['activity', 'week', 'plane'].map((name) => [name, element('div', { class: `holder ${name}` })]));
    this.canvas = element('canvas', { tabindex: '0', role: 'img', 'aria-label': 'Construct in three dimensions. Arrow keys turn it, plus and minus zoom; the largest values are listed below it.' });
    this.stage = element('div', { class: 'stage' }, this.canvas);
    try {
      this.view = new ConstructView(this.canvas, (part, point) => this.#tell(part, point));
    } catch {
      this.view = null;
      this.hover.textContent = 'WebGL is missing in this browser: a still picture in its place.';
    }
  }
  /** The states of one slope and activity, a week each. */
  series() {
    return this.states.filter((s) => slopeWords(s) === slopeWords(this.state) && stateWords(s) === stateWords(this.state)).sort((a, b) => a.week - b.week);
  }
  start() {
    const operated = this.states.filter((s) => s.operated), among = operated.length ? operated : this.states;
    this.state = among.reduce((a, b) => (Math.abs(b.target_deg - usualSlope) < Math.abs(a.target_deg - usualSlope) ? b : a));
    return this.slope(slopeWords(this.state));
  }
  /** The activity with most weeks is shown first. */
  slope(words) {
    const here = this.states.filter((s) => slopeWords(s) === words), kinds = unique(here.map(stateWords));
    const count = (kind) => here.filter((s) => stateWords(s) === kind).length, most = kinds.reduce((a, b) => (count(b) > count(a) ? b : a));
    const kept = kinds.includes(stateWords(this.state)) && count(stateWords(this.state)) === count(most) ? stateWords(this.state) : most;
    this.holders.activity.replaceChildren(...(kinds.length > 1 ? [choice('The dog', kinds.map((k) => [k, k]), kept, (k) => this.activity(here, k))] : []));
    return this.activity(here, kept);
  }
  activity(here, kind) {
    const week = this.state.week;
    this.state = here.find((s) => stateWords(s) === kind && s.week === week) ?? here.find((s) => stateWords(s) === kind);
    const series = this.series(), weeks = series.map((s) => s.week);
    const next = slider('Week after surgery', weeks, series.indexOf(this.state), (w) => `week ${figure(w)}`, (w) => { this.state = series.find((s) => s.week === w); this.show(); });
    const input = next.querySelector('input');
    input.id = 'week';
    input.disabled = weeks.length < 2;
    const hold = element('label', { class: 'tick' }, element('input', { type: 'checkbox', id: 'hold', checked: this.hold, onchange: (event) => { this.hold = event.target.checked; this.show(); } }), ' one colour scale for all weeks (hold scale)');
    this.holders.week.replaceChildren(next, ...(weeks.length > 1 ? [hold] : []));
    return this.show();
  }
  async #load(state) {
    const surface = await (this.read ??= new Map()).get(state.surface) ?? await readSurface(this.results, state.surface, this.surfaces[state.surface]);
    this.read.set(state.surface, surface);
    return { surface, values: await readField(this.results, state, surface.points) };
  }
  async show() {
    const mine = ++this.turn, { state } = this, now = await this.#load(state), kind = fields[this.field], shown = kind.of(now.values);
    let top = topOf(now.surface, shown);
    if (this.hold)
      for (const other of this.series().filter((s) => s.field !== state.field)) {
        const { surface, values } = await this.#load(other);
        top = Math.max(top, topOf(surface, kind.of(values)));
      }
    if (mine !== this.turn) return; // another choice came meanwhile
    this.shown = { ...now, shown, kind };
    this.#tellRange(shown, kind);
    this.legend.show({ ...kind, top });
    this.view?.show({ surface: now.surface, displacement: now.values.displacement, shown, top, mirrored: state.mirrored });
    this.#listLargest();
    await this.#showStill(state);
  }
  #tellRange(shown, kind) {
    let low = Infinity, high = -Infinity;
    for (const v of shown) { low = Math.min(low, v); high = Math.max(high, v); }
    this.range.textContent = `${this.state.words}: ${kind.name} ${figure(low)} to ${figure(high)} ${kind.unit} on the surfaces.`;
    Object.assign(this.range.dataset, { low, high });
  }
  #tell(part, point) {
    const { surface, shown, kind } = this.shown;
    this.hover.textContent = `${capital(inWords(part, surface))}: ${kind.name} ${figure(shown[point])} ${kind.unit} at the nearest corner of the mesh.`;
    Object.assign(this.hover.dataset, { part, value: shown[point] });
  }
  #listLargest() {
    const { surface, shown, kind } = this.shown;
    this.list.replaceChildren(...largest(surface, shown).map(({ part, point, value }) => {
      const words = `${capital(inWords(part, surface))}: ${figure(value)} ${kind.unit}`;
      return element('li', {}, this.view ? element('button', { type: 'button', 'data-value': value, onclick: () => this.#look(part, point) }, words) : words);
    }));
  }
  #look(part, point) {
    const inside = part.startsWith('cancellous'), wanted = inside ? 'cut' : isBone(part) ? 'full' : this.bone === 'full' ? 'clear' : this.bone;
    if (inside) this.at = Math.round((this.state.mirrored ? -1 : 1) * this.shown.surface.positions[3 * point + 1]);
    if (wanted !== this.bone || inside) {
      this.boneChoice.querySelector('select').value = wanted;
      this.setBone(wanted);
    }
    this.view.look(point);
    this.#tell(part, point);
  }
  async #showStill(state) {
    this.still.className = this.view ? 'still print-only' : 'still';
    if (!state.still) return this.still.replaceChildren(...(this.view ? [] : [element('p', { class: 'missing' }, 'This run drew no picture of this state.')]));
    this.still.replaceChildren(element('img', { src: await this.results.picture(state.still), alt: `${state.words}: von Mises stress, still picture` }), element('figcaption', {}, `${state.words}, von Mises stress.`));
  }
  setBone(how) {
    this.bone = how;
    const { surface } = this.shown, inner = this.state.mirrored ? -1 : 1, ends = [surface.low[1], surface.low[1] + surface.size[1]].map((y) => inner * y).sort((a, b) => a - b);
    const places = Array.from({ length: Math.floor(ends[1]) - Math.ceil(ends[0]) + 1 }, (_, i) => Math.ceil(ends[0]) + i);
    const words = (mm) => (mm === 0 ? 'in the middle' : `${Math.abs(mm)} mm to the ${mm > 0 ? 'inner' : 'outer'} side`);
    const plane = slider('Cut the bone', places, Math.max(places.indexOf(this.at), 0), words, (mm) => { this.at = mm; this.#placeBone(); });
    plane.querySelector('input').id = 'plane';
    this.holders.plane.replaceChildren(...(how === 'cut' ? [plane] : []));
    this.#placeBone();
  }
  #placeBone() {
    this.view.bone(this.bone, this.at);
  }

  controls() {
    const slopes = unique(this.states.map(slopeWords)), times = [0, 1, 2, 5, 10, 20, 50];
    this.boneChoice = choice('Bone', [['clear', 'seen through'], ['full', 'coloured'], ['cut', 'cut open'], ['none', 'taken away']], this.bone, (b) => this.setBone(b));
    const shape = slider('Shape under load', times, 0, (t) => (t === 0 ? 'unloaded' : t === 1 ? 'as computed' : `movement drawn ${t} times larger`), (t) => this.view.deform(t));
    shape.querySelector('input').id = 'deform';
    return element('div', { class: 'controls' }, slopes.length > 1 ? choice('Plateau angle', slopes.map((s) => [s, s]), slopeWords(this.state), (words) => this.slope(words)) : null,
      this.holders.activity, choice('Colour shows', Object.entries(fields).map(([name, f]) => [name, f.words]), this.field, (f) => { this.field = f; this.show(); }),
      ...(this.view ? [this.boneChoice, this.holders.plane, shape] : []), this.holders.week);
  }
  tools() {
    const button = (words, does) => element('button', { type: 'button', onclick: does }, words);
    const sides = [['From the inner side', 'inner'], ['From the front', 'front'], ['From the outer side', 'outer'], ['From behind', 'back']];
    const save = () => element('a', { href: this.view.picture(), download: 'construct.png' }).click();
    return element('div', { class: 'tools' }, ...sides.map(([words, side]) => button(words, () => this.view.from(side))), button('Whole bone', () => this.view.from('inner', true)),
      button('Nearer', () => this.view.turn(0, 0, 0.8)), button('Farther', () => this.view.turn(0, 0, 1.25)), button('Save as PNG', save));
  }
}

export async function viewer(root, results, index) {
  const v = new Viewer(results, index);
  await v.start();
  const note = 'Values at the corners of the mesh on each surface. Those at hole rims and where parts are joined depend on the mesh; the table of margins leaves such lines out.';
  root.append(v.controls(), v.range);
  if (v.view)
    root.append(element('figure', { class: 'screen-only construct' }, v.stage, v.legend.node,
      element('figcaption', {}, 'Drag turns; after a click the wheel zooms, two fingers pinch. With the keyboard: arrow keys, plus, minus.')), v.tools());
  root.append(v.hover, v.still, element('div', { class: 'screen-only' }, element('h3', {}, 'The largest value of each part'),
    element('p', { class: 'note' }, v.view ? `A button turns the view there and marks the place. ${note}` : note), v.list));
}
