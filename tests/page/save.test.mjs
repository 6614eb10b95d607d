// Requirement (issue 7): plots are exportable as SVG and PNG, and the scenario as the file it was.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { folder, open } from './support.mjs';

async function saved(page, button) {
  const [download] = await Promise.all([page.waitForEvent('download', { timeout: 30000 }), button.click()]);
  return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
}

test('each "Save as SVG" gives a drawing that parses as XML, draws itself and keeps its words', async () => {
  const { page, close } = await open('hostile', { depth: 'full' }), buttons = await page.getByRole('button', { name: 'Save as SVG' }).all();
  assert.ok(buttons.length >= 3, `${buttons.length} buttons`);
  for (const button of buttons) {
    const { name, bytes } = await saved(page, button);
    assert.match(name, /\.svg$/);
    const found = await page.evaluate((text) => {
      const file = new DOMParser().parseFromString(text, 'image/svg+xml');
      return { broken: file.querySelector('parsererror')?.textContent, root: file.documentElement.namespaceURI, shapes: file.querySelectorAll('path, polyline, line, polygon').length,
        words: file.querySelectorAll('text').length, borrowed: /var\(--/.test(text) };
    }, bytes.toString('utf8'));
    assert.equal(found.broken, undefined, name);
    assert.equal(found.root, 'http://www.w3.org/2000/svg', name);
    assert.ok(found.shapes > 4 && found.words > 2, `${name}: ${JSON.stringify(found)}`);
    assert.ok(!found.borrowed, `${name}: colours that only the page knows are black elsewhere`);
  }
  await close();
});

test('each "Save as PNG" gives a picture that is not one colour', async () => {
  const { page, close } = await open('hostile', { depth: 'full' }), buttons = await page.getByRole('button', { name: 'Save as PNG' }).all();
  assert.ok(buttons.length >= 2, `${buttons.length} buttons`);
  for (const button of buttons) {
    const { name, bytes } = await saved(page, button);
    assert.match(name, /\.png$/);
    assert.equal(bytes.subarray(0, 8).toString('hex'), '89504e470d0a1a0a', name);
    assert.ok(bytes.readUInt32BE(16) >= 300 && bytes.readUInt32BE(20) >= 200, `${name}: ${bytes.readUInt32BE(16)} x ${bytes.readUInt32BE(20)}`);
    assert.ok(bytes.length > 4000, `${name}: ${bytes.length} bytes`);
  }
  await close();
});

test('the scenario is saved as it stands in the results folder', async () => {
  const { page, close } = await open('hostile'), { name, bytes } = await saved(page, page.getByRole('button', { name: 'Save the scenario' }));
  assert.equal(name, 'scenario.yaml');
  assert.ok(bytes.equals(readFileSync(`${folder('hostile')}/scenario.yaml`)));
  await close();
});
