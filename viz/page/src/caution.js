// Who decides.
import { element } from './dom.js';

export const caution = {
  title: 'Caution',
  async fill(root, results) {
    const summary = await results.json('summary.json');
    root.append(element('p', {}, element('strong', {}, summary.caution)),
      element('p', {}, 'A computed number is not a promise about one dog. The licensed veterinarian who examines the dog decides what is done; this page can help to explain it.'),
      element('p', { class: 'print-only note' }, 'Printed: the story and its pictures. The full tables stay on the page itself (switch to “Everything”) and, as files, in the folder of the page: joint.csv, repairs.csv, margins.csv, construct.csv, summary.json, scenario.yaml.'));
  },
};
