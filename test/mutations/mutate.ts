/**
 * `npm run mutate`: breaks the rules of `mutations.ts` one at a time, in a temporary copy of the project,
 * runs the tests that should notice, and lists what none of them did. The checkout stays as it is.
 */
import { execFileSync, spawn } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { misplaced } from './misplaced.js';
import { MUTATIONS, type Mutation } from './mutations.js';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

const USAGE = `npm run mutate -- [options]
  --only TEXT      only mutations with this in their file or name
  --from N         only from the Nth of them on (1)
  --count N        only so many of them
  --seconds N      how long the tests of one may take (180); a mutant that takes longer counts as noticed
`;

/** Whatever git knows or would know, as it stands now. */
function copyProject(): string {
  const copy = mkdtempSync(join(tmpdir(), 'transloom-mutants-'));
  const listed = execFileSync('git', ['ls-files', '-z', '--cached', '--others', '--exclude-standard'], { cwd: ROOT, encoding: 'utf8' });
  for (const path of listed.split('\0')) {
    if (path === '' || path === 'node_modules' || !existsSync(join(ROOT, path))) continue;
    mkdirSync(dirname(join(copy, path)), { recursive: true });
    cpSync(join(ROOT, path), join(copy, path));
  }
  symlinkSync(join(ROOT, 'node_modules'), join(copy, 'node_modules'));
  // Checks of schemas are read from there as a build wrote them; no mutation touches schemas.
  mkdirSync(join(copy, 'dist'));
  symlinkSync(join(ROOT, 'dist/schemas'), join(copy, 'dist/schemas'));
  return copy;
}

interface TestReport {
  readonly numFailedTests: number;
  readonly numTotalTests: number;
  readonly testResults: readonly {
    readonly message: string;
    readonly assertionResults: readonly { readonly status: string; readonly fullName: string }[];
  }[];
}

type Outcome =
  | { readonly kind: 'noticed'; readonly by: string }
  | { readonly kind: 'survived'; readonly tests: number }
  /** The mutant does not even load: it shows nothing. */
  | { readonly kind: 'broken'; readonly message: string };

function runTests(copy: string, tests: readonly string[], seconds: number): Promise<Outcome> {
  const report = join(copy, 'report.json');
  rmSync(report, { force: true });
  const vitest = join(copy, 'node_modules/vitest/vitest.mjs');
  // Of folders that the project does not have (yet) nothing can be expected.
  const present = tests.filter((path) => existsSync(join(copy, path)));
  const words = ['run', '--bail=1', '--reporter=json', `--outputFile=${report}`, ...present];
  // A group of its own, so that the workers of a mutant that never ends can be ended with it.
  const child = spawn(process.execPath, [vitest, ...words], { cwd: copy, stdio: 'ignore', detached: true });
  return new Promise((resolve, reject) => {
    let late = false;
    const timer = setTimeout(() => {
      late = true;
      if (child.pid !== undefined) process.kill(-child.pid, 'SIGKILL');
    }, 1000 * seconds);
    child.on('error', reject);
    child.on('exit', (code) => {
      clearTimeout(timer);
      if (late) resolve({ kind: 'noticed', by: `its tests took longer than ${seconds} s` });
      else if (!existsSync(report)) resolve({ kind: 'broken', message: `no report, exit code ${code}` });
      else resolve(outcomeOf(JSON.parse(readFileSync(report, 'utf8')) as TestReport));
    });
  });
}

function outcomeOf({ numFailedTests, numTotalTests, testResults }: TestReport): Outcome {
  const failed = testResults.flatMap(({ assertionResults }) => assertionResults.filter(({ status }) => status === 'failed'));
  if (numFailedTests > 0) return { kind: 'noticed', by: failed[0]?.fullName ?? 'a test' };
  const message = testResults.map((file) => file.message).find((text) => text !== '');
  if (message !== undefined || numTotalTests === 0) return { kind: 'broken', message: message ?? 'no tests ran' };
  return { kind: 'survived', tests: numTotalTests };
}

async function tryMutations(copy: string, mutations: readonly Mutation[], seconds: number): Promise<number> {
  for (const tests of new Set(mutations.map((mutation) => mutation.tests))) {
    const whole = await runTests(copy, tests, 10 * seconds);
    if (whole.kind !== 'survived') {
      console.log(`Unbroken, ${tests.join(' ')} must pass: ${whole.kind === 'noticed' ? whole.by : whole.message}`);
      return 2;
    }
  }
  const survivors: Mutation[] = [];
  let broken = 0;
  for (const [index, mutation] of mutations.entries()) {
    const path = join(copy, mutation.file);
    const text = readFileSync(path, 'utf8');
    writeFileSync(path, text.replace(mutation.find, () => mutation.replace));
    const outcome = await runTests(copy, mutation.tests, seconds);
    writeFileSync(path, text);
    const where = `${index + 1}/${mutations.length} ${mutation.file}: ${mutation.name}`;
    if (outcome.kind === 'noticed') console.log(`noticed   ${where} (${outcome.by})`);
    if (outcome.kind === 'broken') {
      broken++;
      console.log(`BROKEN    ${where}: ${outcome.message.split('\n')[0]}`);
    }
    if (outcome.kind === 'survived') {
      survivors.push(mutation);
      console.log(`SURVIVED  ${where} (${outcome.tests} tests passed)`);
    }
  }
  const noticed = mutations.length - survivors.length - broken;
  console.log(`\n${noticed} of ${mutations.length} noticed${broken > 0 ? `, ${broken} that do not load` : ''}.`);
  for (const { file, name, find, replace } of survivors) console.log(`No test noticed in ${file}: ${name}\n  - ${find}\n  + ${replace}`);
  return survivors.length + broken > 0 ? 1 : 0;
}

async function main(): Promise<number> {
  const { values } = parseArgs({
    options: {
      only: { type: 'string', default: '' },
      from: { type: 'string', default: '1' },
      count: { type: 'string', default: `${MUTATIONS.length}` },
      seconds: { type: 'string', default: '180' },
      help: { type: 'boolean', default: false },
    },
  });
  const [from, count, seconds] = [values.from, values.count, values.seconds].map(Number);
  if (values.help || !(from >= 1 && count >= 1 && seconds > 0)) {
    process.stdout.write(USAGE);
    return values.help ? 0 : 2;
  }
  const errors = misplaced(MUTATIONS, (file) => (existsSync(join(ROOT, file)) ? readFileSync(join(ROOT, file), 'utf8') : undefined));
  if (errors.length > 0) {
    for (const error of errors) console.log(error);
    return 2;
  }
  const chosen = MUTATIONS.filter(({ file, name }) => `${file} ${name}`.includes(values.only)).slice(from - 1, from - 1 + count);
  const copy = copyProject();
  try {
    return await tryMutations(copy, chosen, seconds);
  } finally {
    rmSync(copy, { recursive: true, force: true });
  }
}

process.exitCode = await main();
