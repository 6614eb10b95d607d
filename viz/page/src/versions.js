// What made this page, and how to make it again.
import three from 'licences/three.txt';
import uplot from 'licences/uplot.txt';
import { dataTable, element, figure } from './dom.js';
import { save } from './plot.js';

const libraries = [['three (3-D view), MIT', three], ['uPlot (curves), MIT', uplot]];

export const versions = {
  title: 'Versions and the exact scenario',
  short: 'Versions and scenario',
  async fill(root, results) {
    const summary = await results.json('summary.json'), scenario = await results.text('scenario.yaml');
    const used = Object.entries(summary.versions ?? {}), seconds = (summary.phases ?? []).find((p) => p.name === 'total')?.seconds;
    const time = seconds < 90 ? `${figure(seconds, 2)} seconds` : `${figure(seconds / 60, 2)} minutes`;
    const last = seconds ? `The last run took ${time}; what an earlier run had finished is not done again. ` : '';
    root.append(element('p', {}, `Computed with stifle ${summary.versions?.stifle ?? ''}. ${last}The scenario below, every value used, gives the same numbers again: `,
      element('code', {}, 'stifle run scenario.yaml'), '.'),
      element('div', { class: 'tools' }, element('button', { type: 'button', onclick: () => save('scenario.yaml', scenario, 'text/yaml') }, 'Save the scenario')),
      element('div', { class: 'full-only' },
        summary.closure ? element('p', {}, `Closure of the free body: ${figure(summary.closure.force_percent)} % in force, ${figure(summary.closure.moment_percent)} % in moment (1 % allowed).`) : null,
        dataTable('Programs and libraries', [{ title: 'name', text: true, show: ([n]) => n }, { title: 'version', text: true, show: ([, v]) => String(v) }], used)),
      element('details', { class: 'full-only' }, element('summary', {}, 'Scenario, every value used, with label and source'), element('pre', { tabindex: '0' }, scenario)),
      element('h3', {}, 'Licences'),
      element('p', {}, 'stifle: GPL-3.0-or-later. This page contains three (MIT) for the 3-D view and uPlot (MIT) for the curves; their licences stand here in full.'),
      ...libraries.map(([name, text]) => element('details', {}, element('summary', {}, name), element('pre', { tabindex: '0' }, text.trim()))));
  },
};
