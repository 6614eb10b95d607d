// Requirement (issue 7): the page prints to a clean PDF of at most 6 pages with all its pictures.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { after, before, test } from 'node:test';
import { open } from './support.mjs';

const place = mkdtempSync(`${tmpdir()}/stifle_page_`), file = `${place}/report.pdf`;
const tool = (name, ...words) => execFileSync(name, words, { encoding: 'utf8', maxBuffer: 1 << 28 });
const flat = (words) => words.replace(/\s+/g, '');
let view = null, headings = [], figures = [];

before(async () => {
  view = await open('hostile');
  await view.page.emulateMedia({ media: 'print' });
  headings = await view.page.locator('main h2').allTextContents();
  figures = await view.page.locator('main figure').evaluateAll((all) => all.filter((f) => f.checkVisibility() && f.getBoundingClientRect().height > 1).map((f) => {
    const drawings = [...f.querySelectorAll('svg, img, canvas')].filter((d) => d.checkVisibility() && d.getBoundingClientRect().width > 100 && d.getBoundingClientRect().height > 60);
    return { words: f.textContent.trim().slice(0, 60), drawings: drawings.map((d) => d.localName), titles: drawings.filter((d) => d.localName === 'svg').map((d) => d.querySelector('text')?.textContent ?? ''),
      broken: [...f.querySelectorAll('img')].filter((i) => i.checkVisibility() && !(i.complete && i.naturalWidth > 200)).length };
  }));
  writeFileSync(file, await view.page.pdf({ format: 'A4', printBackground: true, margin: { top: '12mm', bottom: '12mm', left: '12mm', right: '12mm' } }));
});
after(() => view?.close());

test('every section heading and the caution stand in the PDF', () => {
  const words = flat(tool('pdftotext', '-layout', file, '-'));
  assert.equal(headings.length, 11);
  for (const heading of headings) assert.ok(words.includes(flat(heading)), heading);
  assert.match(words, /licensedveterinarian/);
});

test('every figure prints with a picture in it, and the PDF holds them', () => {
  assert.ok(figures.length >= 4, `${figures.length} figures: joint, thrust, posture, construct at least`);
  for (const f of figures) assert.ok(f.drawings.length > 0 && f.broken === 0, JSON.stringify(f));
  const words = flat(tool('pdftotext', file, '-'));
  for (const title of figures.flatMap((f) => f.titles).filter(Boolean)) assert.ok(words.includes(flat(title)), `words of a drawing: ${title}`);
  const images = tool('pdfimages', '-list', file).trim().split('\n').slice(2).map((l) => l.trim().split(/\s+/)).filter((c) => c[2] === 'image' && Number(c[3]) >= 300);
  assert.ok(images.length >= figures.flatMap((f) => f.drawings).filter((d) => d === 'img').length && images.length >= 1, `${images.length} images in the PDF`);
});

test('it is at most 6 pages, none of them blank', () => {
  const pages = Number(/Pages:\s+(\d+)/.exec(tool('pdfinfo', file))[1]);
  assert.ok(pages >= 1 && pages <= 6, `${pages} pages`);
  for (let i = 1; i <= pages; ++i) {
    const pgm = execFileSync('pdftoppm', ['-gray', '-r', '40', '-f', i, '-l', i, file], { maxBuffer: 1 << 26 });
    const pixels = pgm.subarray(pgm.indexOf('255\n') + 4), dark = pixels.reduce((n, v) => n + (v < 200), 0) / pixels.length;
    assert.ok(dark > 0.001, `page ${i}: ${(100 * dark).toFixed(2)} % of it printed`);
  }
});

test('paper is white and ink dark even when the machine of the reader is dark', async () => {
  const { page, close } = await open('hostile', { scheme: 'dark' });
  writeFileSync(`${place}/dark.pdf`, await page.pdf({ format: 'A4', printBackground: true }));
  const pgm = execFileSync('pdftoppm', ['-gray', '-r', '40', '-f', '1', '-l', '1', `${place}/dark.pdf`], { maxBuffer: 1 << 26 });
  const pixels = pgm.subarray(pgm.indexOf('255\n') + 4), white = pixels.reduce((n, v) => n + (v > 235), 0) / pixels.length;
  assert.ok(white > 0.5, `${(100 * white).toFixed(0)} % white`);
  await close();
});
