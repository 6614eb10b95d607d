// Requirement (issue 7): the keyboard alone reaches and works everything, and the eye sees where it is.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { control, open } from './support.mjs';

/** Numbers the elements a hand can use and returns their names; of a radio group the chosen one alone is a stop of Tab. */
const numbered = (page) => page.evaluate(() => {
  const usable = 'a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex="-1"])';
  const all = [...document.querySelectorAll(usable)].filter((e) => e.checkVisibility({ contentVisibilityAuto: true, visibilityProperty: true }) && !e.disabled && !(e.type === 'radio' && !e.checked));
  return all.map((e, i) => { e.dataset.stop = i; return `${e.localName} ${e.id || e.ariaLabel || e.textContent.trim().slice(0, 40)}`; });
});

const here = (page) => page.evaluate(() => {
  const e = document.activeElement, style = getComputedStyle(e), box = e.getBoundingClientRect();
  return { stop: e.dataset.stop, ring: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2, seen: box.width > 0 && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth };
});

for (const [depth, width] of [['owner', 1400], ['full', 1400], ['full', 390]])
  test(`Tab alone reaches every control, with a ring around it and on the screen (${depth}, ${width} px)`, async () => {
    const { page, close } = await open('hostile', { depth, width });
    const names = await numbered(page), reached = new Set(), faults = [];
    await page.evaluate(() => { document.documentElement.style.scrollBehavior = 'auto'; document.activeElement.blur(); scrollTo(0, 0); getSelection().removeAllRanges(); });
    await page.evaluate(() => { const start = document.createElement('span'); start.tabIndex = -1; document.body.prepend(start); start.focus(); });
    for (let i = 0; i < 2 * names.length && reached.size < names.length; ++i) {
      await page.keyboard.press('Tab');
      const { stop, ring, seen } = await here(page);
      if (stop === undefined || reached.has(stop)) continue;
      reached.add(stop);
      if (!ring) faults.push(`no ring: ${names[stop]}`);
      if (!seen) faults.push(`focus off the screen: ${names[stop]}`);
    }
    assert.ok(names.length > 20, `${names.length} controls`);
    assert.deepEqual(names.filter((_, i) => !reached.has(String(i))), [], 'never reached');
    assert.deepEqual(faults, []);
    await close();
  });

test('arrow keys switch the depth, move both sliders and choose from lists', async () => {
  const { page, close } = await open('hostile');
  const depth = () => page.evaluate(() => document.documentElement.dataset.depth);
  await page.locator('input[name=depth][value=owner]').focus();
  await page.keyboard.press('ArrowRight');
  assert.equal(await depth(), 'full');
  await page.keyboard.press('ArrowLeft');
  assert.equal(await depth(), 'owner');
  for (const [id, words] of [['slope', '#thrust'], ['week', '#range']]) {
    const slider = page.locator(`#${id}`), before = [await slider.inputValue(), await page.locator(words).textContent()];
    await slider.focus();
    await page.keyboard.press(before[0] === '0' ? 'ArrowRight' : 'ArrowLeft');
    assert.notEqual(await slider.inputValue(), before[0], id);
    await page.waitForFunction(([where, old]) => document.querySelector(where).textContent !== old, [words, before[1]]);
  }
  const list = control(page, 'slides', 'Activity'), chosen = await list.inputValue();
  await list.focus();
  await page.keyboard.press(chosen === 'stand' ? 'ArrowDown' : 'ArrowUp');
  assert.notEqual(await list.inputValue(), chosen);
  await close();
});

test('arrow keys turn the view in three dimensions, plus comes nearer and minus goes back', async () => {
  const { page, close } = await open('hostile'), canvas = page.locator('#holds canvas');
  const pressed = async (key) => { await canvas.press(key); return (await canvas.screenshot()).toString('base64'); };
  await canvas.focus();
  const views = [(await canvas.screenshot()).toString('base64')];
  for (const key of ['ArrowLeft', 'ArrowUp', '+']) views.push(await pressed(key));
  assert.equal(new Set(views).size, views.length, 'each key changes the picture');
  const back = await pressed('-');
  assert.notEqual(back, views[3]);
  await close();
});

test('the link at the top leads past the list of sections to the content', async () => {
  const { page, close } = await open('hostile');
  await page.keyboard.press('Tab');
  assert.match(await page.evaluate(() => document.activeElement.textContent), /content/);
  await page.keyboard.press('Enter');
  await page.keyboard.press('Tab');
  assert.ok(await page.evaluate(() => document.getElementById('main').contains(document.activeElement)), 'the next stop lies in the content');
  await close();
});
