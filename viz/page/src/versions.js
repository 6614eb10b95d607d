// What made this page, and how to make it again.
import { element, figure } from './dom.js';
import { save } from './plot.js';

const libraries = [['three', 'MIT', 'Copyright 2010-2026 three.js authors'], ['uPlot', 'MIT', 'Copyright 2023 Leon Sorokin']];

export const versions = {
  title: 'Versions and the exact scenario',
  async fill(root, results) {
    const summary = await results.json('summary.json'), scenario = await results.text('scenario.yaml');
    const versions = Object.entries(summary.versions ?? {});
    root.append(element('p', {}, `Computed with ${versions.slice(0, 1).map(([n, v]) => `${n} ${v}`)} and its libraries; the same scenario gives the same numbers.`));
    if (summary.closure)
      root.append(element('p', { class: 'full-only' }, `Closure of the free body: ${figure(summary.closure.force_percent)} % in force, ${figure(summary.closure.moment_percent)} % in moment (1 % allowed).`));
    root.append(element('ul', { class: 'full-only' }, ...versions.map(([n, v]) => element('li', {}, `${n} ${v}`))),
      element('div', { class: 'tools' }, element('button', { type: 'button', onclick: () => save('scenario.yaml', scenario, 'text/yaml') }, 'Save the scenario')),
      element('details', { class: 'full-only' }, element('summary', {}, 'Scenario, every value used'), element('pre', { tabindex: '0' }, scenario)),
      element('h3', {}, 'Licences'),
      element('p', {}, 'stifle: GPL-3.0-or-later.'),
      element('ul', {}, ...libraries.map((l) => element('li', {}, `${l[0]}: ${l[1]}. ${l[2]}.`))));
  },
};
