// node frame_rate.mjs REPORT.html - frames a second while the construct turns, in headless chromium without a graphics card
//   needs  build/viz/page/npm (esbuild, three; left by the build), build/tests/page/npm (playwright-core; left by its tests), chromium
//          STIFLE_BUILD: the build folder; STIFLE_PLAYWRIGHT: a folder with node_modules/playwright-core
//   prints for each setting: triangles of the surface, median and slowest-in-twenty frame, resolution it settled at, and what does not
//          hang on other programs: processor time of all of chromium for a frame (two processors give at best 2000 / that, a second)
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { loadavg, tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url)), root = resolve(here, '../..'), report = process.argv[2];
if (!report) throw new Error('usage: node frame_rate.mjs REPORT.html');
const build = process.env.STIFLE_BUILD ?? join(root, 'build'), packages = join(build, 'viz/page/npm/node_modules');
const { chromium } = createRequire(join(process.env.STIFLE_PLAYWRIGHT ?? join(build, 'tests/page/npm'), 'x.js'))('playwright-core');

const folder = mkdtempSync(join(tmpdir(), 'stifle_frames_'));
execFileSync(join(packages, '.bin/esbuild'), [join(here, 'turning.js'), '--bundle', '--minify', '--format=iife', `--outfile=${folder}/turning.bundle.js`],
  { env: { ...process.env, NODE_PATH: packages }, stdio: 'inherit' });
const code = readFileSync(join(folder, 'turning.bundle.js'), 'utf8');
const page = readFileSync(report, 'utf8').replace(/<script>[\s\S]*?<\/script>/, () => `<script>${code}</script>`);
writeFileSync(join(folder, 'page.html'), page);

/** Processor time of this program's children and theirs, ms. */
function childrenMs() {
  const all = new Map();
  for (const id of readdirSync('/proc').filter((n) => /^\d+$/.test(n)))
    try {
      const cells = readFileSync(`/proc/${id}/stat`, 'utf8').split(') ').at(-1).split(' ');
      all.set(Number(id), { parent: Number(cells[1]), ms: 10 * (Number(cells[11]) + Number(cells[12])) });
    } catch { /* ended meanwhile */ }
  const ours = (id) => { for (let p = all.get(id)?.parent; p; p = all.get(p)?.parent) if (p === process.pid) return true; return false; };
  return [...all].filter(([id]) => ours(id)).reduce((sum, [, p]) => sum + p.ms, 0);
}

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'] });
console.log('bone   triangles  drawn   median ms  frames/s  slowest 5 % ms  processor ms/frame  resolution  canvas    load average');
for (const [bone, splits] of [['clear', 0], ['clear', 1], ['full', 1]]) {
  const tab = await browser.newPage({ viewport: { width: 1200, height: 900 } });
  await tab.goto(`file://${folder}/page.html`);
  const marks = []; // at the first and at the last frame that counts
  await tab.exposeFunction('frameMark', () => { marks.push(childrenMs()); });
  const r = await tab.evaluate((how) => window.turning(how), { bone, splits, seconds: 6 });
  const sorted = [...r.frames].sort((a, b) => a - b), median = sorted[Math.floor(sorted.length / 2)];
  console.log([bone.padEnd(6), String(r.triangles).padEnd(10), String(r.drawn).padEnd(7), median.toFixed(1).padEnd(10), (1000 / median).toFixed(1).padEnd(9),
    sorted[Math.floor(0.95 * sorted.length)].toFixed(1).padEnd(15), ((marks[1] - marks[0]) / r.frames.length).toFixed(1).padEnd(19), r.ratio.toFixed(2).padEnd(11), r.size.join('x').padEnd(9), loadavg()[0].toFixed(1)].join(' '));
  await tab.close();
}
await browser.close();
