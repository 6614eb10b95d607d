// Every value of the run with its label and source.
import { dataTable, element } from './dom.js';

const meaning = {
  read: 'the published text itself', abstract: 'its abstract', 'second-hand': 'quoted by another author', memory: 'remembered, not seen', derived: 'computed from stated inputs',
  assumption: 'chosen, no source', 'common practice': 'usual, no source',
};

export const assumptions = {
  title: 'What was assumed',
  async fill(root, results) {
    const all = (await results.json('summary.json')).assumptions ?? [];
    const labels = [...new Set(all.map((a) => a.label))];
    const count = (label) => all.filter((a) => a.label === label).length;
    root.append(element('p', {}, `${all.length} values went in. ${count('assumption') + count('memory')} of them are assumptions or remembered; another dog, or another measurement, would change the numbers on this page.`));
    root.append(element('ul', {}, ...labels.map((label) => element('li', {}, `${label} (${meaning[label] ?? 'label of the source'}): ${count(label)}`))));
    root.append(element('details', { class: 'full-only' }, element('summary', {}, `All ${all.length} values, label and source`),
      dataTable('Values of this run', [{ title: 'value', text: true, name: 'key' }, { title: 'label', text: true, name: 'label' }, { title: 'source', text: true, name: 'source' }], all)));
  },
};
