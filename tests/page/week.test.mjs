// Requirement (issue 7): the week slider of the construct shows the field of that week.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { folder, open, positions, slide } from './support.mjs';
import { surfaceRange } from './vtu.mjs';

const run = 'hostile';

/** The file of the state that the page names: 'Plateau levelled to 6 deg, week 4, trot, 50 % of stance: ...'. */
function fileOf(words) {
  const [, kind, slope, week, activity, percent] = words.match(/^(Plateau levelled to|Unoperated plateau) (-?[\d.]+) deg, week (\d+), (\w+), (\d+) % of stance/) ?? assert.fail(words);
  return `${kind.startsWith('Plateau') ? 'levelled' : 'unoperated'}_+${Number(slope).toFixed(2).padStart(5, '0')}_week_${week.padStart(2, '0')}_${activity}_${percent.padStart(3, '0')}.vtu`;
}

test('the week slider changes the field range to that of the field file of the week', async () => {
  const { page, close } = await open(run), slider = page.locator('#week'), range = page.locator('#range'), weeks = [], ranges = [];
  for (let i = 0; i < await positions(slider); ++i) {
    await slide(slider, i);
    const week = (await slider.getAttribute('aria-valuetext')).match(/\d+/)[0];
    await page.waitForFunction((w) => document.getElementById('range').textContent.includes(`week ${w},`), week);
    const words = await range.textContent(), shown = Number(await range.getAttribute('data-high'));
    const { low, high } = surfaceRange(`${folder(run)}/fields/${fileOf(words)}`);
    assert.ok(Math.abs(shown - high) <= 1e-6 * high, `week ${week}: shows ${shown} MPa, the file has ${high}`);
    const [, from, to] = words.match(/([\d.e-]+) to ([\d.e]+) MPa/);
    assert.ok(Math.abs(Number(from) - low) <= 0.006 * low && Math.abs(Number(to) - high) <= 0.006 * high, `${words}: ${low} to ${high}`);
    weeks.push(week), ranges.push(shown);
  }
  assert.deepEqual(weeks, ['0', '8']);
  assert.notEqual(ranges[0], ranges[1], 'each week has a range of its own');
  await close();
});

test('the choice of displacement shows millimetres, that of stress megapascals again', async () => {
  const { page, close } = await open(run), range = page.locator('#range'), colour = page.locator('#holds select:has(option[value=displacement])');
  const stress = await range.textContent();
  assert.match(stress, /MPa/);
  await colour.selectOption('displacement');
  await page.waitForFunction(() => /\d mm/.test(document.getElementById('range').textContent));
  await colour.selectOption('von_mises');
  await page.waitForFunction((before) => document.getElementById('range').textContent === before, stress);
  await close();
});
