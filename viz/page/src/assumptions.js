// Every value of the run with its label and source.
import { dataTable, element } from './dom.js';

const meaning = {
  read: 'the published text itself was read', abstract: 'its abstract was read', 'second-hand': 'quoted by another author', memory: 'remembered, not seen', derived: 'computed from stated inputs',
  assumption: 'chosen, no source', 'common practice': 'usual, no source', 'set in the scenario': 'the question asked',
};

export const assumptions = {
  title: 'What was assumed',
  async fill(root, results) {
    const all = (await results.json('summary.json')).assumptions ?? [], count = (label) => all.filter((a) => a.label === label).length;
    const labels = [...new Set(all.map((a) => a.label))].sort((a, b) => count(b) - count(a));
    root.append(element('p', {}, `${all.length} values went into this run, and each carries a label that tells how well it is known. ${count('assumption') + count('memory')} are assumptions or remembered: with other values the numbers on this page would change.`));
    root.append(dataTable('How the values are known', [{ title: 'label', text: true, show: (l) => l }, { title: 'it means', text: true, show: (l) => meaning[l] ?? 'label of the source' }, { title: 'values', show: count }], labels));
    root.append(element('details', { class: 'full-only' }, element('summary', {}, `All ${all.length} values, label and source`),
      dataTable('Values of this run (numbers: scenario.yaml)', [{ title: 'value', text: true, name: 'key' }, { title: 'label', text: true, name: 'label' }, { title: 'source', long: true, name: 'source' }], all)));
  },
};
