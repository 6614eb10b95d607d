// Requirement (issue 7): no violation of the accessibility rules of axe-core, in both depths, dark and light.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { open, required } from './support.mjs';

const axe = required('axe-core').source, tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'];

async function violations(page) {
  await page.evaluate(axe);
  const found = await page.evaluate((values) => globalThis.axe.run(document, { runOnly: { type: 'tag', values } }), tags);
  assert.ok(found.passes.length > 20, 'the rules ran');
  return found.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 4).map((n) => n.target.join(' ')).join(' | ')}`);
}

for (const run of ['hostile', 'rig'])
  for (const depth of ['owner', 'full'])
    for (const scheme of ['light', 'dark'])
      test(`axe-core finds no violation (${run}, ${depth}, ${scheme})`, async () => {
        const { page, close } = await open(run, { depth, scheme });
        for (const summary of await page.locator('summary:visible').all()) await summary.click();
        assert.deepEqual(await violations(page), []);
        await close();
      });

test('verdicts and curves are told by more than colour: a word in each cell, a dash of its own for each curve', async () => {
  const { page, close } = await open('hostile', { depth: 'full' });
  const verdicts = await page.locator('.verdict').evaluateAll((all) => all.map((v) => v.textContent));
  assert.ok(verdicts.length > 3, `${verdicts.length} verdicts`);
  for (const words of verdicts) assert.match(words, /overloaded|marginal|adequate/);
  await page.emulateMedia({ media: 'print' });
  const dashes = await page.locator('#slides .print-only svg').first().locator('polyline').evaluateAll((all) => all.map((l) => l.getAttribute('stroke-dasharray')));
  assert.ok(dashes.length >= 3 && new Set(dashes).size === dashes.length, `dashes: ${dashes}`);
  await close();
});
