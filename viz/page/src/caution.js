// Who decides.
import { element } from './dom.js';

export const caution = {
  title: 'Caution',
  async fill(root, results) {
    const summary = await results.json('summary.json');
    root.append(element('p', {}, element('strong', {}, summary.caution)),
      element('p', {}, 'A computed number is not a promise about one dog. The licensed veterinarian who examines the dog decides what is done; this page can help to explain it.'));
  },
};
