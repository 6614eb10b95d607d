// Starts the page: depth switch, contents, one module for each section. The first section stands before anything large is opened.
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
    radio.addEventListener('change', () => { document.documentElement.dataset.depth = radio.value; });
}

/** The empty section and its line in the contents. */
function shell(id, section) {
  const root = element('section', { id, 'aria-labelledby': `${id}-title` }, element('h2', { id: `${id}-title` }, section.title));
  document.getElementById('main').append(root);
  document.getElementById('contents').append(element('li', {}, element('a', { href: `#${id}` }, section.short ?? section.title)));
  return root;
}

async function fill(root, section, results) {
  try {
    await section.fill(root, results);
  } catch (error) {
    root.append(element('p', { class: 'missing' }, `This part could not be shown: ${error.message}.`));
    document.documentElement.dataset.failed = root.id;
  }
}

/** Lets the browser paint; a page in the background paints nothing, so time ends the wait too. */
const breath = () => new Promise((go) => {
  requestAnimationFrame(() => setTimeout(go));
  setTimeout(go, 60);
});

/** Marks the section that is being read in the contents. */
function follow(roots) {
  const link = (root) => document.querySelector(`#contents a[href="#${root.id}"]`);
  const seen = new IntersectionObserver(() => {
    const now = roots.findLast((root) => root.getBoundingClientRect().top < 0.35 * innerHeight) ?? roots[0];
    for (const root of roots) root === now ? link(root).setAttribute('aria-current', 'true') : link(root).removeAttribute('aria-current');
  }, { rootMargin: '-30% 0px -60% 0px' });
  for (const root of roots) seen.observe(root);
}

async function start() {
  depthSwitch();
  const results = new Results(document), { facts } = await results.json('facts.json');
  const all = Object.entries(sections).filter(([, section]) => !(section.joint && facts.rig)).map(([id, section]) => [shell(id, section), section]); // a bench has no joint
  for (const [root, section] of all) {
    await fill(root, section, results);
    await breath();
  }
  follow(all.map(([root]) => root));
  if (location.hash.length > 1) document.getElementById(location.hash.slice(1))?.scrollIntoView();
  document.documentElement.dataset.ready = 'true';
}
start();
