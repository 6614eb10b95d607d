// What holds the bone: the construct in three dimensions, coloured by stress or displacement, week by week.
import '../holds.css';
import { element, figure } from './dom.js';
import { slopeOf, unique, usualSlope } from './picks.js';
import { list } from './words.js';
import { viewer } from './construct_viewer.js';

export const holds = {
  title: 'What holds the bone',
  async fill(root, results) {
    const index = results.has('fields.json') ? await results.json('fields.json') : { states: [] };
    const peaks = (await results.table('construct.csv')).filter((r) => r.part === 'plate' && r.excluded === 0);
    const cut = await results.table('cut.csv');
    if (cut.length) {
      const { facts } = await results.json('facts.json'), slope = usualSlope(unique(cut.map(slopeOf)).filter((s) => facts.targets_deg.includes(s)));
      const inWeek = (week) => cut.filter((r) => slopeOf(r) === slope && r.week === week && r.load_through_bone_percent !== null).map((r) => r.load_through_bone_percent);
      const weeks = unique(cut.map((r) => r.week)), told = [Math.min(...weeks), Math.max(...weeks)].filter((w, i, all) => !i || w !== all[0]).map((week) => [week, inWeek(week)]).filter(([, all]) => all.length);
      const range = (all) => (Math.round(Math.min(...all)) === Math.round(Math.max(...all)) ? Math.max(...all).toFixed(0) : `${Math.min(...all).toFixed(0)} to ${Math.max(...all).toFixed(0)}`);
      const most = peaks.length ? Math.max(...peaks.map((r) => r.peak_von_mises_mpa)) : null;
      root.append(element('p', {}, `${told.length ? `Levelled to ${figure(slope)}°, ${list(told.map(([week, all]) => `${range(all)} % of the load goes through the bone itself in week ${figure(week)}`))}, by activity and instant; what is missing to 100 % goes through plate and screws.` : ''} ${most === null ? '' : `The plate sees at most ${figure(most)} MPa away from its hole rims.`}`));
    }
    if (!index.states.length) {
      root.append(element('p', { class: 'missing' }, 'No stress field among the results.'));
      return;
    }
    await viewer(root, results, index);
  },
};
