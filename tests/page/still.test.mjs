// Requirement (issue 7): where WebGL is missing a still picture stands in place of the construct in three dimensions.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { open } from './support.mjs';

test('without WebGL the construct is a still picture, said so, and the rest of the page works', async () => {
  const { page, faults, close } = await open('hostile', { args: ['--disable-3d-apis'] });
  assert.equal(await page.evaluate(() => document.createElement('canvas').getContext('webgl2')), null, 'this browser has no WebGL');
  assert.match(await page.locator('#holds').innerText(), /WebGL is missing/);
  assert.equal(await page.locator('#holds canvas').count(), 0);
  const still = page.locator('#holds img').first();
  assert.ok(await still.isVisible());
  assert.ok(await still.evaluate((i) => i.complete && i.naturalWidth > 200));
  assert.match(await page.locator('#range').textContent(), /MPa/);
  assert.match(await page.locator('#thrust').textContent(), /\d N/);
  assert.deepEqual(faults, [], 'no error for what is only missing');
  await close();
});

test('with WebGL the construct is drawn: the canvas holds colours, not one paper', async () => {
  const { page, close } = await open('hostile');
  const png = await page.locator('#holds canvas').screenshot();
  const colours = await page.evaluate(async (base64) => {
    const bitmap = await createImageBitmap(new Blob([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], { type: 'image/png' }));
    const canvas = new OffscreenCanvas(bitmap.width, bitmap.height), pen = canvas.getContext('2d');
    pen.drawImage(bitmap, 0, 0);
    const { data } = pen.getImageData(0, 0, bitmap.width, bitmap.height), seen = new Set();
    for (let i = 0; i < data.length; i += 4) seen.add(`${data[i] >> 4},${data[i + 1] >> 4},${data[i + 2] >> 4}`);
    return seen.size;
  }, png.toString('base64'));
  assert.ok(colours > 20, `${colours} colours`);
  await close();
});
