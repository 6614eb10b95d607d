// How the model was checked: the table of check cases with their sources; failures are shown.
import { dataTable, element, figure } from './dom.js';

export const checked = {
  title: 'How the model was checked',
  async fill(root, results) {
    const rows = await results.table('validate.csv');
    if (!rows.length) {
      root.append(element('p', { class: 'missing' }, 'No table of checks was at hand; `stifle validate` makes it.'));
      return;
    }
    const must = rows.filter((r) => r.level === 'V'), shown = rows.filter((r) => r.level !== 'V');
    const fails = (list) => list.filter((r) => r.verdict !== 'holds');
    root.append(element('p', {}, `${rows.length} checks against hand calculations, published tests and measurements on dogs. ${must.length} must hold: ${must.length - fails(must).length} do. ${shown.length} are published experiments, reported as they fall: ${shown.length - fails(shown).length} hold, ${fails(shown).length} do not.`));
    const columns = [
      { title: 'check', text: true, show: (r) => r.id },
      { title: 'what', text: true, show: (r) => r.quantity },
      { title: 'this model', show: (r) => (r.value === null ? '–' : `${figure(r.value, 4)} ${r.unit === 1 || r.unit === null ? '' : r.unit}`) },
      { title: 'expected', show: (r) => `${figure(r.expected, 4)} ± ${figure(r.tolerance, 2)}` },
      { title: 'verdict', text: true, show: (r) => (r.verdict === 'holds' ? 'holds' : element('strong', {}, r.verdict)) },
      { title: 'source, and why when it does not hold', text: true, show: (r) => r.source },
    ];
    root.append(
      element('h3', { class: 'full-only' }, 'What does not hold'),
      element('div', { class: 'full-only' }, dataTable(`${fails(rows).length} checks that do not hold`, columns, fails(rows))),
      element('details', { class: 'full-only' }, element('summary', {}, `All ${rows.length} checks`), dataTable('All checks', columns, rows)));
    const worst = ['J10', 'J6', 'A15', 'C21'].map((id) => fails(rows).find((r) => r.id === id)).filter(Boolean);
    root.append(element('div', { class: 'owner-only' }, element('p', {}, 'Some that do not hold:'),
      element('ul', {}, ...worst.map((r) => element('li', {}, `${r.quantity}: ${figure(r.value)} here, ${figure(r.expected)} ${r.unit === 1 ? '' : r.unit} published.`)))));
  },
};
