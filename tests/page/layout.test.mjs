// Requirement (issue 7): the page works at 390 px and 1400 px width, dark and light; text never overlaps.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { control, open, positions, slide } from './support.mjs';
import { overflow, textFaults } from './text_boxes.mjs';

for (const width of [390, 1400])
  for (const scheme of ['light', 'dark'])
    for (const depth of ['owner', 'full'])
      test(`at ${width} px no text lies on another or is cut off and nothing sticks out sideways (${scheme}, ${depth})`, async () => {
        const { page, close } = await open('hostile', { width, scheme, depth });
        for (const summary of await page.locator('summary:visible').all()) await summary.click();
        const { texts, faults } = await page.evaluate(textFaults);
        assert.ok(texts > 100, `${texts} boxes of text`);
        assert.deepEqual(faults, []);
        assert.deepEqual(await page.evaluate(overflow), { scrolls: 0, out: [] });
        await close();
      });

test('the words of the joint picture keep apart at every slope, activity and ligament', async () => {
  const { page, close } = await open('hostile'), found = new Set();
  for (const ligament of ['intact', 'torn'])
    for (const activity of ['stand', 'walk', 'trot']) {
      await control(page, 'slides', 'Cranial cruciate').selectOption(ligament);
      await control(page, 'slides', 'Activity').selectOption(activity);
      const slider = page.locator('#slope');
      for (let i = 0; i < await positions(slider); ++i) {
        await slide(slider, i);
        for (const fault of (await page.evaluate(textFaults)).faults) found.add(`${ligament}, ${activity}, position ${i}: ${fault}`);
      }
    }
  assert.deepEqual([...found], []);
  await close();
});

for (const run of ['joint_only', 'rig', 'no_fields'])
  for (const width of [390, 1400])
    test(`a folder with less in it lays out as well (${run}, ${width} px)`, async () => {
      const { page, close } = await open(run, { width, depth: 'full' });
      assert.deepEqual((await page.evaluate(textFaults)).faults, []);
      assert.deepEqual(await page.evaluate(overflow), { scrolls: 0, out: [] });
      await close();
    });

test('dark and light differ in paper and ink, as the machine of the reader asks', async () => {
  const seen = [];
  for (const scheme of ['light', 'dark']) {
    const { page, close } = await open('joint_only', { scheme });
    seen.push(await page.evaluate(() => { const { backgroundColor, color } = getComputedStyle(document.body); return { backgroundColor, color }; }));
    await close();
  }
  const bright = (rgb) => rgb.match(/\d+/g).map(Number).slice(0, 3).reduce((a, b) => a + b) / 765;
  assert.ok(bright(seen[0].backgroundColor) > 0.9 && bright(seen[0].color) < 0.3, JSON.stringify(seen[0]));
  assert.ok(bright(seen[1].backgroundColor) < 0.2 && bright(seen[1].color) > 0.8, JSON.stringify(seen[1]));
});
