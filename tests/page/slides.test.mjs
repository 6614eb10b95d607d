// Requirement (issue 7): the sliders of the joint print the values of the tables.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { control, open, positions, rows, slide } from './support.mjs';

const run = 'hostile';
const choose = (page, label, value) => control(page, 'slides', label).selectOption(value);
const first = (text) => Number(text.match(/-?\d+(\.\d+)?/)?.[0] ?? NaN);

/** Printed to a tenth of a newton, direction in words; a pose that was not found has no number. */
function assertPrints(words, value, what) {
  if (value === '') {
    assert.doesNotMatch(words, /\d/, what);
    return;
  }
  assert.ok(Math.abs(first(words) - Math.abs(Number(value))) <= 0.0501, `${what}: '${words}' stands for ${value} N`);
}

for (const repair of ['none', 'levelling'])
  for (const activity of ['walk', 'trot'])
    for (const ligament of ['intact', 'torn'])
      test(`the slope slider prints thrust and cruciate force of joint.csv at each of its slopes (${repair}, ${activity}, ${ligament})`, async () => {
        const table = rows(run, 'joint.csv').filter((r) => r.load_set === 'stance' && r.stance_percent === '50' && r.repair === repair && r.activity === activity && r.ligament === ligament);
        const wanted = [...new Set(table.map((r) => Number(r.plateau_angle_target_deg)))].sort((a, b) => b - a);
        const { page, close } = await open(run);
        await choose(page, 'The slope is there because', repair);
        await choose(page, 'Activity', activity);
        await choose(page, 'Cranial cruciate', ligament);
        const slider = page.locator('#slope'), seen = [];
        for (let i = 0; i < await positions(slider); ++i) {
          await slide(slider, i);
          const slope = first(await slider.getAttribute('aria-valuetext'));
          const row = table.find((r) => Number(r.plateau_angle_target_deg) === slope), what = `slope ${slope}`;
          assert.ok(row, `${what} is in joint.csv`);
          const found = row.converged === 'true', thrust = await page.locator('#thrust').textContent();
          assertPrints(thrust, found ? row.thrust_n : '', `thrust, ${what}`);
          if (found && Math.abs(Number(row.thrust_n)) >= 0.05)
            assert.match(thrust, Number(row.thrust_n) < 0 ? /caudal/ : /cranial/, what);
          assertPrints(await page.locator('#cruciate').textContent(), found ? row.cruciate_cranial_n : '', `cranial cruciate, ${what}`);
          seen.push(slope);
        }
        assert.deepEqual(seen, wanted, 'the slider has every slope of the table, steep to flat');
        assert.ok(repair !== 'none' || (seen[0] === 35 && seen.at(-1) === -5), 'a sweep goes from 35 to -5 degrees');
        await close();
      });

test('the drawing of the joint follows the slider: plateau, tendon and thrust arrow move', async () => {
  const { page, close } = await open(run);
  const lines = () => page.locator('#slides figure svg').first().evaluate((svg) => ({
    plateau: svg.querySelector('.plateau').getAttribute('d'), tendon: svg.querySelector('.tendon').getAttribute('d'), said: svg.getAttribute('aria-label'),
  }));
  const slider = page.locator('#slope');
  await slide(slider, 0);
  const steep = await lines(), steepThrust = await page.locator('#thrust').textContent();
  await slide(slider, (await positions(slider)) - 1);
  const flat = await lines();
  assert.notEqual(steep.plateau, flat.plateau);
  assert.notEqual(steep.tendon, flat.tendon);
  assert.match(steep.said, new RegExp(`thrust ${Math.round(first(steepThrust))} N cranially`));
  assert.match(flat.said, /thrust \d+ N caudally/);
  // By hand: front of the dog to the left, so the chord falls to the right by its angle (pixels count downwards).
  const fall = (d) => { const [x0, y0, x1, y1] = d.match(/-?\d+(\.\d+)?/g).map(Number); return Math.atan((y1 - y0) / (x1 - x0)) * 180 / Math.PI; };
  assert.ok(Math.abs(fall(steep.plateau) - 35) < 1 && Math.abs(fall(flat.plateau) + 5) < 1, `${fall(steep.plateau)} and ${fall(flat.plateau)}`);
  await close();
});

test('the posture slider prints thrust and cruciate force of posture.csv at each of its angles', async () => {
  const table = rows(run, 'posture.csv').filter((r) => r.repair === 'none' && r.ligament === 'intact' && r.converged === 'true');
  const { page, close } = await open(run);
  const others = page.locator('#slides .controls', { hasText: 'Stifle angle' }).locator('select');
  for (const list of await others.all()) await list.selectOption((await list.locator('option[value=none]').count()) ? 'none' : 'intact');
  const slider = control(page, 'slides', 'Stifle angle');
  for (let i = 0; i < await positions(slider); ++i) {
    await slide(slider, i);
    const angle = first(await slider.getAttribute('aria-valuetext'));
    const row = table.find((r) => Number(r.stifle_angle_deg) === angle && r.base_activity === table[0].base_activity);
    const words = await page.locator('#posture').textContent();
    const [, thrust, cruciate] = words.match(/thrust (-?[\d.]+) N, cranial cruciate (-?[\d.]+) N/) ?? assert.fail(words);
    assert.ok(Math.abs(Number(thrust) - Number(row.thrust_n)) <= 0.0501, `${words}: ${row.thrust_n}`);
    assert.ok(Math.abs(Number(cruciate) - Number(row.cruciate_cranial_n)) <= 0.0501, `${words}: ${row.cruciate_cranial_n}`);
    const drawn = await page.locator('#slides figure.joint svg').nth(1).getAttribute('aria-label');
    assert.match(drawn, new RegExp(`thrust ${Math.round(Math.abs(Number(thrust)))} N`), `the drawing at ${angle} degrees: ${drawn}`);
  }
  await close();
});
