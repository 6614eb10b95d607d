// What holds the bone: the construct in three dimensions, coloured by stress or displacement, week by week.
import '../holds.css';
import { element, figure } from './dom.js';
import { viewer } from './construct_viewer.js';

export const holds = {
  title: 'What holds the bone',
  async fill(root, results) {
    const index = results.has('fields.json') ? await results.json('fields.json') : { states: [] };
    const peaks = (await results.table('construct.csv')).filter((r) => r.part === 'plate' && r.excluded === 0);
    const cut = await results.table('cut.csv');
    if (cut.length) {
      const load = cut.filter((r) => r.load_through_bone_percent !== null).map((r) => r.load_through_bone_percent);
      const most = peaks.length ? Math.max(...peaks.map((r) => r.peak_von_mises_mpa)) : null;
      root.append(element('p', {}, `${load.length ? `${Math.min(...load).toFixed(0)} to ${Math.max(...load).toFixed(0)} % of the load goes through the bone itself, the rest through plate and screws.` : ''} ${most === null ? '' : `The plate sees at most ${figure(most)} MPa away from its hole rims.`}`));
    }
    if (!index.states.length) {
      root.append(element('p', { class: 'missing' }, 'No stress field among the results.'));
      return;
    }
    await viewer(root, results, index);
  },
};
