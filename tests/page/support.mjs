// What every test of the page shares: the browser, a page that keeps what goes wrong, the tables read here and not by the page.
//   env   PAGE_NPM folder of node_modules; PAGE_OUT results folders; CHROMIUM the browser (tests/page/CMakeLists.txt sets them)
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { after } from 'node:test';

export const required = createRequire(`${process.env.PAGE_NPM}/`);
const { chromium } = required('playwright-core');

export const folder = (run) => `${process.env.PAGE_OUT}/${run}`;

/** Rows of a table of the folder; cells stay text. */
export function rows(run, table) {
  const [head, ...lines] = readFileSync(`${folder(run)}/${table}`, 'utf8').trimEnd().split('\n').map(cells);
  return lines.map((line) => Object.fromEntries(head.map((name, i) => [name, line[i]])));
}

/** Splits at the commas outside quotes. */
function cells(line) {
  const found = [''];
  let quoted = false;
  for (const c of line)
    if (c === '"') quoted = !quoted;
    else if (c === ',' && !quoted) found.push('');
    else found[found.length - 1] += c;
  return found;
}

const browsers = new Map();
after(async () => { for (const one of browsers.values()) await (await one).close(); });

/** One browser for each list of extra arguments. */
function browser(extra) {
  const key = extra.join(' ');
  if (!browsers.has(key))
    browsers.set(key, chromium.launch({ executablePath: process.env.CHROMIUM, args: ['--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', ...extra] }));
  return browsers.get(key);
}

/**
 * The report of a run, open from disk. {page, faults, requests, dialogs}: faults are lines of the console (errors, warnings) and errors
 * thrown; requests are those that left the file.
 */
export async function open(run, { width = 1400, scheme = 'light', depth = 'owner', script = true, args = [] } = {}) {
  const context = await (await browser(args)).newContext({ viewport: { width, height: 900 }, colorScheme: scheme, javaScriptEnabled: script, acceptDownloads: true });
  context.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
  const page = await context.newPage(), faults = [], requests = [], dialogs = [];
  page.on('console', (m) => ['error', 'warning', 'assert'].includes(m.type()) && faults.push(`${m.type()}: ${m.text()}`));
  page.on('pageerror', (e) => faults.push(`thrown: ${e.message}`));
  page.on('dialog', (d) => { dialogs.push(d.message()); d.dismiss(); });
  await context.route('**/*', (route) => {
    const url = route.request().url();
    if (/^(data|blob):/.test(url) || url === `file://${folder(run)}/report.html`) return route.continue();
    requests.push(url);
    return route.abort();
  });
  page.on('websocket', (s) => requests.push(s.url()));
  await page.goto(`file://${folder(run)}/report.html`);
  if (script) await page.waitForFunction(() => document.documentElement.dataset.ready === 'true');
  if (script && depth === 'full') await page.check('input[name=depth][value=full]');
  return { page, faults, requests, dialogs, close: () => context.close() };
}

/** The list or slider of a section whose label says `words`; where several do, the first. */
export const control = (page, section, words) => page.locator(`#${section} .control:has(> span:text-is("${words}"))`).first().locator('select, input');
/** Moves a slider to a position as a hand does: the page hears `input`. */
export const slide = (slider, position) => slider.fill(String(position));
export const positions = async (slider) => 1 + Number(await slider.getAttribute('max'));
