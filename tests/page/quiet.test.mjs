// Requirements (issue 7): no console error, no network request, text of a scenario shown as text, a word without JavaScript.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { folder, open, positions, slide } from './support.mjs';

const runs = ['hostile', 'joint_only', 'rig', 'no_fields'];
const sections = ['asked', 'slides', 'levelling', 'repairs', 'holds', 'breaks', 'uncertain', 'checked', 'assumptions', 'versions', 'caution'];

/** Everything a reader can set, set once. */
async function tryAll(page) {
  await page.check('input[name=depth][value=full]');
  for (const summary of await page.locator('summary:visible').all()) await summary.click();
  for (const list of await page.locator('select:visible').all())
    for (const value of await list.locator('option').evaluateAll((all) => all.map((o) => o.value))) await list.selectOption(value);
  for (const slider of await page.locator('input[type=range]:visible:enabled').all()) {
    await slide(slider, 0);
    await slide(slider, (await positions(slider)) - 1);
  }
  await page.waitForTimeout(300); // what a control starts ends
}

for (const run of runs)
  test(`nothing goes wrong in the console and nothing is fetched, whatever is set (${run})`, async () => {
    const { page, faults, requests, dialogs, close } = await open(run);
    await tryAll(page);
    assert.deepEqual({ faults, requests, dialogs }, { faults: [], requests: [], dialogs: [] });
    assert.equal(await page.evaluate(() => document.documentElement.dataset.failed), undefined, 'a section that failed');
    const shown = await page.locator('main > section').evaluateAll((all) => all.map((s) => s.id));
    assert.deepEqual(shown, sections.filter((s) => run !== 'rig' || shown.includes(s)), 'a page about a joint has every section; a bench may lack those of the joint');
    assert.ok(['asked', 'holds', 'breaks', 'caution'].every((s) => shown.includes(s)), `${shown}`);
    await close();
  });

test('the page forbids itself the network and its text loads nothing', async () => {
  const { page, close } = await open('hostile');
  const policy = await page.locator('meta[http-equiv=Content-Security-Policy]').getAttribute('content');
  assert.match(policy, /default-src 'none'/);
  assert.doesNotMatch(policy, /https?:|\*|connect-src/);
  const refused = await page.evaluate(() => fetch('https://example.invalid/').then(() => 'fetched', () => 'refused'));
  assert.equal(refused, 'refused');
  const links = await page.locator('[src], link[href]').evaluateAll((all) => all.map((e) => e.getAttribute('src') ?? e.getAttribute('href')));
  assert.deepEqual(links.filter((l) => !/^(data|blob):/.test(l)), []);
  await close();
});

// The name as the run understood it stands in the scenario of the results folder; the words here are those of the scenario file.
const name = JSON.parse(/name: (".*?[^\\]"), mass/.exec(readFileSync(new URL('scenarios/hostile.yaml', import.meta.url), 'utf8'))[1]);

test('a name of code, quotes, marks of the page, one long word and right-to-left letters is shown as text', async () => {
  const { page, dialogs, faults, close } = await open('hostile');
  assert.ok(name.includes('<script>') && name.includes('{{FILES}}') && name.includes('كلب'), name);
  assert.equal(await page.title(), name);
  assert.equal(await page.locator('h1').textContent(), name);
  assert.equal(await page.locator('h1 *').count(), 0, 'no element came of the name');
  assert.equal(await page.locator('img[onerror], img[src=x]').count(), 0);
  assert.equal(await page.locator('script:not([data-name])').count(), 1, 'the one script of the page');
  await page.check('input[name=depth][value=full]');
  const used = page.locator('#versions details', { hasText: 'Scenario, every value used' });
  await used.locator('summary').click();
  assert.ok((await used.locator('pre').textContent()).includes('<script>alert(1)</script>'), 'the scenario shows the name too');
  assert.deepEqual({ dialogs, faults }, { dialogs: [], faults: [] });
  await close();
});

for (const run of ['hostile', 'rig'])
  test(`without JavaScript the page says what it needs, and the caution (${run})`, async () => {
    const { page, close } = await open(run, { script: false }), words = await page.locator('body').innerText();
    assert.match(words, /needs JavaScript/);
    assert.match(words, /licensed veterinarian/);
    assert.ok(!run.startsWith('h') || (await page.title()) === name);
    await close();
  });

test('the file holds no address outside itself beyond names of standards', () => {
  const html = readFileSync(`${folder('hostile')}/report.html`, 'utf8').replace(/<script type="application\/gzip"[^>]*>[^<]*<\/script>/g, '');
  assert.doesNotMatch(html, /<(script|link|img|iframe|source|object)[^>]*(src|href)=["']?https?:/i);
  assert.doesNotMatch(html, /@import|url\(["']?https?:/i);
});
