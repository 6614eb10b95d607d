// Plain words for the names in the tables; a name that is not here is shown as it is, with spaces.
import { element, spaced } from './dom.js';

export const list = (words) => (words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`);
export const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);
export const way = (value) => (value < 0 ? 'backwards' : 'forwards');
/** A whole number with a true minus. */
export const whole = (value) => value.toFixed(0).replace('-', '−').replace(/^−0$/, '0');
export const newtons = (value) => `${Math.abs(value).toFixed(0)} N ${way(value)}`;
export const moved = (value) => (value === null || value === undefined ? '–' : `${Math.abs(value).toFixed(1)} mm${Math.abs(value) < 0.05 ? '' : ` ${way(value)}`}`);

export const operations = {
  none: 'no repair', levelling: 'levelling of the plateau (TPLO)', wedge: 'a closing wedge', suture: 'a suture beside the joint', advancement: 'advancement of the tuberosity (TTA)',
};
export const repairNames = { none: 'no repair', levelling: 'levelling', wedge: 'wedge', suture: 'suture', advancement: 'advancement' };

const modes = {
  yield: 'bends or crushes for good', fatigue: 'tires by repetition', shaft_yield: 'its shaft bends', shaft_fatigue: 'its shaft tires', bone_strain: 'bone around screws strained too far',
  pull_out: 'pulled out of the bone', push_out: 'pushed through the bone', tendon_pull: 'torn off by the tendon', opening: 'tissue in the cut torn', drift: 'tips back up',
  strength: 'tears', whole_bone: 'breaks as a whole', first_yield: 'first bends for good', collapse: 'collapses',
};
export const modeWords = (mode) => modes[mode] ?? spaced(mode);

const parts = {
  cortex_proximal: 'dense bone above the cut', cortex_distal: 'dense bone below the cut', cancellous_proximal: 'spongy bone above the cut', cancellous_distal: 'spongy bone below the cut',
  caudal_cruciate: 'caudal cruciate ligament', cranial_cruciate: 'cranial cruciate ligament', patellar_tendon: 'patellar tendon', tibia: 'tibia (shin bone)', tuberosity: 'tuberosity (front crest)',
  cut: 'cut', plateau: 'plateau', construct: 'bone, plate and screws together', suture: 'suture',
};
export const partWords = (part) => parts[part] ?? spaced(part);

const activities = {
  stand: 'stands on four legs', walk: 'walks', trot: 'trots', stand_one_leg: 'stands on this hind leg alone', sit_to_stand_start: 'starts to rise from sitting',
  sit_to_stand_middle: 'is half way up from sitting', stairs_up_deep: 'climbs stairs, knee well bent', stairs_up_push: 'climbs stairs, pushing off', stairs_down: 'walks down stairs',
  turning_trot: 'trots round a tight bend', gallop: 'gallops', sprint_start: 'starts a sprint', jump_up: 'jumps up', jump_down: 'lands from a jump',
};
export const activityWords = (activity) => activities[activity] ?? spaced(activity);

/** Two decimals rounded down below 10 (0.996 must not read as 1), as in the closing table and the pictures. */
export function marginWords(margin) {
  if (margin === null || margin === undefined) return '–';
  if (margin > 1000) return 'over 1000';
  if (margin < 0.01) return 'below 0.01';
  return margin >= 10 ? margin.toFixed(0) : (Math.floor(100 * margin + 1e-9) / 100).toFixed(2);
}

/** When a sum of fatigue is used up, from the sentence of its source; empty when it is not. */
export function usedUp(source) {
  const week = /used up in week ([\d.e+-]+)/.exec(String(source));
  return !week ? '' : Number(week[1]) < 1 / 7 ? ', used up on the first day' : `, used up in week ${(Math.floor(10 * Number(week[1])) / 10).toString()}`;
}
/** How well the limit is known where it is not a published value. */
export const knownAs = (source) => (/^(assumption|memory)/.test(String(source)) ? `its strength is ${String(source).startsWith('memory') ? 'remembered, not seen' : 'an assumption'}` : '');
export const upperBound = 'more than the muscle is taken to bear, so an upper bound';

const signs = { overloaded: '✕', marginal: '!', adequate: '✓' };
/** The verdict as sign and word, so that colour is never the only difference. */
export function verdictWord(word) {
  return word ? element('span', { class: `verdict ${word}` }, element('span', { 'aria-hidden': 'true' }, `${signs[word] ?? ''} `), word) : '–';
}
