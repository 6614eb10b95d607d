// What is uncertain and what drives it: bands of the neutral slope, ranks of inputs, mesh.
import { dataTable, element, figure, spaced } from './dom.js';

export const uncertain = {
  title: 'What is uncertain, and what drives it',
  async fill(root, results) {
    const summary = await results.json('summary.json'), drivers = await results.table('sensitivity.csv');
    const bands = Object.entries(summary.neutral_band ?? {}).filter(([, b]) => b && b.low !== null && b.low !== undefined);
    if (bands.length)
      root.append(element('p', {}, 'The neutral slope differs from dog to dog; of 20 dogs drawn at random, 18 lie within these bands.'),
        dataTable('Plateau angle at which the thrust vanishes, sampled dogs', [
          { title: 'load', text: true, show: ([name]) => spaced(name) },
          { title: 'low (5 %)', show: ([, b]) => `${b.low.toFixed(1)}°` },
          { title: 'middle', show: ([, b]) => `${b.median.toFixed(1)}°` },
          { title: 'high (95 %)', show: ([, b]) => `${b.high.toFixed(1)}°` },
          { title: 'dogs', show: ([, b]) => `${b.samples - b.failed}` }], bands));
    else
      root.append(element('p', { class: 'missing' }, 'No dogs were sampled in this run (`study.samples`), so this page has no bands: every number is for one dog with middle values.'));
    const one = drivers.filter((r) => r.quantity === 'thrust' && r.rank <= 5);
    if (one.length)
      root.append(element('h3', {}, 'What drives the thrust'), dataTable('Share of the scatter of the thrust (total index of Sobol)', [
        { title: 'input', text: true, show: (r) => spaced(r.input) }, { title: 'label', text: true, name: 'label' }, { title: 'activity', text: true, show: (r) => spaced(r.activity) },
        { title: 'share', show: (r) => `${Math.round(100 * r.total)} %` }], one));
    const peaks = (await results.table('construct.csv')).filter((r) => r.excluded === 0 && r.error_estimate_percent !== null);
    if (peaks.length) {
      const worst = peaks.reduce((a, b) => (b.error_estimate_percent > a.error_estimate_percent ? b : a));
      root.append(element('p', {}, `Stress peaks depend on the mesh: the error estimate of a peak is up to ${figure(worst.error_estimate_percent)} % (${spaced(worst.part)}); load through the bone and tipping of the plateau are settled within 1 %.`));
    }
  },
};
