// Starts the page: depth switch, contents, one module for each section.
import 'uplot/dist/uPlot.min.css';
import '../page.css';
import { element } from './dom.js';
import { Results } from './results.js';
import { asked } from './asked.js';
import { slides } from './slides.js';
import { levelling } from './levelling.js';
import { repairs } from './repairs.js';
import { holds } from './holds.js';
import { breaks } from './breaks.js';
import { uncertain } from './uncertain.js';
import { checked } from './checked.js';
import { assumptions } from './assumptions.js';
import { versions } from './versions.js';
import { caution } from './caution.js';

const sections = { asked, slides, levelling, repairs, holds, breaks, uncertain, checked, assumptions, versions, caution };

function depthSwitch() {
  for (const radio of document.querySelectorAll('input[name=depth]'))
    radio.addEventListener('change', () => {
      document.documentElement.dataset.depth = radio.value;
      document.dispatchEvent(new CustomEvent('depth'));
    });
}

async function fill(id, section, results) {
  const root = element('section', { id, 'aria-labelledby': `${id}-title` },
    element('h2', { id: `${id}-title` }, section.title));
  document.getElementById('main').append(root);
  document.getElementById('contents').append(element('li', {}, element('a', { href: `#${id}` }, section.title)));
  try {
    await section.fill(root, results);
  } catch (error) {
    root.append(element('p', { class: 'missing' }, `This part could not be shown: ${error.message}.`));
    document.documentElement.dataset.failed = id;
  }
}

async function start() {
  document.getElementById('title').textContent = document.title;
  depthSwitch();
  const results = new Results(document);
  for (const [id, section] of Object.entries(sections)) await fill(id, section, results);
  document.documentElement.dataset.ready = 'true';
}
start();
