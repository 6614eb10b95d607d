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
    root.append(element('p', {}, `${rows.length} numbers of the model were set against hand calculations, published tests and measurements on dogs. ${must.length} must hold: ${must.length - fails(must).length} do. ${shown.length} are published experiments and values, told as they fall: ${shown.length - fails(shown).length} hold, ${fails(shown).length} do not. ${rows.filter((r) => r.independent === 'no').length} of all helped to choose a value, so they prove little.`));
    const stamp = /^# (.*)/.exec(await results.text('validate.csv'));
    root.append(element('p', { class: 'note' }, stamp ? `These checks were not run again for this dog; they came with the program: ${stamp[1]}.` : 'The table of these checks lies in the folder of this page (validate.csv).'));
    const unit = (r) => (r.unit === 1 || r.unit === null ? '' : ` ${r.unit}`);
    const columns = [
      { title: 'check', text: true, show: (r) => `${r.id}: ${r.quantity}` },
      { title: 'this model', show: (r) => (r.value === null ? '–' : `${figure(r.value, 4)}${unit(r)}`) },
      { title: 'expected', show: (r) => `${figure(r.expected, 4)} ± ${figure(r.tolerance, 2)}` },
      { title: 'must hold', text: true, show: (r) => (r.level === 'V' ? 'yes' : 'reported') },
      { title: 'independent', text: true, show: (r) => String(r.independent ?? '–') },
      { title: 'verdict', text: true, show: (r) => (r.verdict === 'holds' ? '✓ holds' : element('strong', {}, `✕ ${r.verdict}`)) },
      { title: 'source, and why when it does not hold', long: true, show: (r) => r.source },
    ];
    root.append(
      element('div', { class: 'full-only' }, element('h3', {}, 'What does not hold'), dataTable(`${fails(rows).length} checks that do not hold`, columns, fails(rows))),
      element('details', { class: 'full-only' }, element('summary', {}, `All ${rows.length} checks`), dataTable('All checks', columns, rows)));
    const off = (r) => Math.abs(r.value - r.expected) / (r.tolerance || 1);
    const worst = [...new Map(fails(rows).filter((r) => r.value !== null && r.expected !== null && !/1 yes$/.test(r.quantity)).sort((a, b) => off(b) - off(a)).map((r) => [r.id, r])).values()].slice(0, 4);
    if (worst.length)
      root.append(element('div', { class: 'owner-only' }, element('p', {}, 'Those that miss by most:'),
        element('ul', {}, ...worst.map((r) => element('li', {}, `${r.quantity}: ${figure(r.value)}${unit(r)} here, ${figure(r.expected)}${unit(r)} expected.`)))));
  },
};
