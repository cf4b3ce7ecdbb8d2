/**
 * With --ascii no command prints a sign beyond ASCII, colours aside, and none is told what is wrong in others; a locale that is
 * not of UTF-8 counts as if --ascii were given, on a terminal.
 */
import { describe, expect, it } from 'vitest';
import { toAscii } from '../../src/index.js';
import { showsUnicode } from '../../src/cli/terminal.js';
import { transloom } from './built-command.js';

const BINS = 'models/plans/grain-two-bins.json';
const COMMANDS = [
  ['trial', BINS, '--spotting', '1'],
  ['trial', 'models/plans/grain-loading.json'],
  ['draw', BINS],
  ['visit', BINS],
  ['why', 'models/plans/grain-middle-bin.json', '--starts', '0'],
  ['station', BINS],
  ['rates', 'models/catalogs/grain-yard.json'],
  ['fit', 'models/measurements/grain-yard.json'],
  ['design', 'models/briefs/grain-060-direct.json'],
  ['tradeoffs', 'models/briefs/grain-060-direct.json'],
  ['mend', BINS, '--target', '0.6'],
  ['mend', 'models/plans/grain-loading.json'],
];

describe('--ascii', () => {
  it.each(COMMANDS.map((words) => [words.join(' '), words] as const))('%s', (_, words) => {
    const { status, stdout, stderr } = transloom([...words, '--ascii']);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^[\n -~]+$/);
    expect(stderr).toMatch(/^[\n -~]*$/);
  });

  it('leaves colours as they are', () => {
    const { stdout } = transloom(['trial', BINS, '--ascii'], { env: { FORCE_COLOR: '1' } });
    expect(stdout).toContain('\u001b[');
    expect(stdout.replaceAll(/\u001b\[[\d;]*m/g, '')).toBe(transloom(['trial', BINS, '--ascii']).stdout);
    expect(toAscii('\u001b[1m…\u001b[22m')).toBe('\u001b[1m...\u001b[22m');
  });

  it.each(COMMANDS.map(([name]) => name))('help of %s', (name) => {
    const [asked, usual] = [['--ascii'], []].map((more) => transloom([name, '--help', ...more]).stdout);
    expect(asked).toMatch(/^[\n -~]+$/);
    expect(asked).toBe(usual.replaceAll(/[“”]/g, '"'));
  });

  it('holds for what is wrong too', () => {
    const { status, stderr } = transloom(['trial', BINS, '--ascii', '--seed', '“']);
    expect(status).toBe(2);
    expect(stderr).toMatch(/^[\n -~]+$/);
  });
});

it.each([
  [{}, true],
  [{ LANG: 'C.UTF-8' }, true],
  [{ LANG: 'de_DE.utf8' }, true],
  [{ LC_CTYPE: 'UTF-8', LANG: 'C' }, true],
  [{ LC_ALL: 'C', LANG: 'C.UTF-8' }, false],
  [{ LC_ALL: '', LANG: 'POSIX' }, false],
  [{ LC_CTYPE: 'de_DE.ISO-8859-1' }, false],
])('a locale of %j shows all signs: %j', (env, expected) => {
  expect(showsUnicode(env)).toBe(expected);
});

it('files and pipes get what was asked for, whatever the locale', () => {
  expect(transloom(['draw', BINS], { env: { LC_ALL: 'C' } }).stdout).toBe(transloom(['draw', BINS]).stdout);
});
