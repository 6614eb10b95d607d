// Runs one file of tests, or says in one line why it cannot and ends with 77 (ctest: skipped).
//   usage   node run.mjs FILE.test.mjs TOOL...      env as in support.mjs
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const [, , file, ...tools] = process.argv, env = process.env;
const lacks = [
  [!existsSync(env.CHROMIUM ?? ''), 'chromium is not installed (bash scenarios/prepare.sh --tests)'],
  [!existsSync(`${env.PAGE_NPM}/.installed`), 'npm packages of tests/page are not installed (build again with the registry in reach)'],
  [!existsSync(`${env.PAGE_OUT}/hostile/report.html`), 'there is no report.html: the page was not built (npm or its registry were out of reach)'],
  ...tools.map((tool) => [spawnSync(tool, ['-v']).error, `${tool} is not installed (bash scenarios/prepare.sh --tests)`]),
].filter(([missing]) => missing).map(([, words]) => words);
if (lacks.length) {
  console.log(`skipped: ${lacks.join('; ')}`);
  process.exit(77);
}
process.exit(spawnSync(process.execPath, ['--test', file], { stdio: 'inherit' }).status ?? 1);
