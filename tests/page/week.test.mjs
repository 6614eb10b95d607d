// Requirement (issue 7): the week slider of the construct shows the field of that week.
import assert from 'node:assert/strict';
import { existsSync, readdirSync } from 'node:fs';
import { test } from 'node:test';
import { folder, open, positions, slide } from './support.mjs';
import { surfaceRange } from './vtu.mjs';

const run = 'hostile';

test('the week slider changes the field range to that of the field file of the week', async () => {
  const { page, close } = await open(run), files = readdirSync(`${folder(run)}/fields`).filter((f) => f.endsWith('.vtu'));
  const slider = page.locator('#week'), range = page.locator('#range'), ranges = [];
  for (let i = 0; i < await positions(slider); ++i) {
    await slide(slider, i);
    const week = Number((await slider.getAttribute('aria-valuetext')).match(/\d+/)[0]);
    await page.waitForFunction((w) => document.getElementById('range').textContent.includes(`week ${w},`), week);
    const file = files.find((f) => f.startsWith('levelled_+06.00') && f.includes(`_week_${String(week).padStart(2, '0')}_`));
    assert.ok(existsSync(`${folder(run)}/fields/${file}`), `a field file of week ${week}`);
    const { low, high } = surfaceRange(`${folder(run)}/fields/${file}`);
    const shown = Number(await range.getAttribute('data-high')), words = await range.textContent();
    assert.ok(Math.abs(shown - high) <= 1e-6 * high, `week ${week}: shows ${shown} MPa, the file has ${high}`);
    const [, from, to] = words.match(/([\d.e-]+) to ([\d.e]+) MPa/);
    assert.ok(Math.abs(Number(from) - low) <= 0.006 * low && Math.abs(Number(to) - high) <= 0.006 * high, `${words}: ${low} to ${high}`);
    ranges.push(shown);
  }
  assert.equal(ranges.length, 3, 'weeks 0, 4 and 8');
  assert.equal(new Set(ranges).size, 3, `every week has a range of its own: ${ranges}`);
  await close();
});

test('the choice of displacement shows millimetres, that of stress megapascals again', async () => {
  const { page, close } = await open(run), range = page.locator('#range'), colour = page.locator('#holds').getByLabel('Colour', { exact: true });
  const stress = await range.textContent();
  assert.match(stress, /MPa/);
  await colour.selectOption('displacement');
  await page.waitForFunction(() => /\d mm/.test(document.getElementById('range').textContent));
  await colour.selectOption('von_mises');
  await page.waitForFunction((before) => document.getElementById('range').textContent === before, stress);
  await close();
});
