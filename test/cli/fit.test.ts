/**
 * `fit` as the built command. `npm test` builds first.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { readJson } from '../documents.js';
import { ownFolder } from '../own-folder.js';
import { ROOT, transloom } from './built-command.js';

const SAMPLE = 'models/measurements/grain-yard.json';
const folder = ownFolder();

const sampleWith = (changes: object): string => JSON.stringify({ ...(readJson(SAMPLE) as object), ...changes }, undefined, 1);

it('prints what is known and what to measure next, and writes a catalog that other commands read', () => {
  const out = join(folder, 'catalog.json');
  const { status, stdout, stderr } = transloom(['fit', SAMPLE, '--out', out]);
  expect([status, stderr]).toEqual([0, '']);
  expect(stdout).toContain('What to measure next');
  expect(JSON.parse(transloom(['fit', SAMPLE, '--json']).stdout)).toMatchObject({ status: 'several', catalog: JSON.parse(readFileSync(out, 'utf8')) as unknown });
  const rates = transloom(['rates', out, '--json']);
  expect(rates.status).toBe(0);
  expect(rates.stdout).toContain('"bound": "8/25"');
});

it('prints the verdict alone with --quiet', () => {
  expect(transloom(['fit', SAMPLE, '--quiet']).stdout).toBe('40 choices of integers explain all 5 measurements; 4 of 7 integers are not settled.\n');
});

it('tells what is given and what nothing measured from what is settled', () => {
  const changes = { pitch: 60, measurements: [{ kind: 'belt-carries', belt: 'field belt', time: '60s', items: 1200, uncertainty: 2 }], belts: { 'field belt': { cost: 1 } }, splitters: {} };
  const { integers } = JSON.parse(transloom(['fit', '-', '--json'], { input: sampleWith(changes) }).stdout) as { readonly integers: readonly { readonly basis: string }[] };
  expect(integers.map(({ basis }) => basis)).toEqual(['given', 'measured', 'unmeasured', 'unmeasured', 'unmeasured', 'unmeasured']);
});

it('gives the same bytes each time', () => {
  expect(transloom(['fit', SAMPLE, '--json']).stdout).toBe(transloom(['fit', SAMPLE, '--json']).stdout);
});

it('says so where one choice is left, and where none is', () => {
  const known = { pitch: 60, arms: { 'bay arm': { reach: 1, cost: 13, payload: 8, grab: 2, release: 1 } } };
  const unique = transloom(['fit', '-'], { input: sampleWith(known) });
  expect([unique.status, unique.stdout]).toEqual([0, expect.stringContaining('No other integers within the ranges')]);
  const out = join(folder, 'none.json');
  const none = transloom(['fit', '-', '--out', out], { input: sampleWith({ ...known, arms: { 'bay arm': { reach: 1, cost: 13, payload: 3, swing: 11 } } }) });
  expect([none.status, none.stderr]).toEqual([1, expect.stringContaining('No catalog was found, so ')]);
  expect(none.stdout).toContain('No integers within the ranges explain all');
  expect(existsSync(out)).toBe(false);
});

it('stops where too little is measured', () => {
  const only = [{ kind: 'hand-holds', arm: 'bay arm', items: 8, uncertainty: 0 }];
  const { status, stdout } = transloom(['fit', '-'], { input: sampleWith({ measurements: only }) });
  expect([status, stdout]).toEqual([3, expect.stringContaining('Too little is measured')]);
});

it('tells bad input by line and column', () => {
  const path = join(folder, 'bad.json');
  writeFileSync(path, readFileSync(join(ROOT, SAMPLE), 'utf8').replace('"arm": "bay arm", "time": "60s"', '"arm": "boy arm", "time": "6O"'));
  const { status, stderr } = transloom(['fit', path]);
  expect(status).toBe(2);
  expect(stderr).toMatch(/bad\.json:28:37: error: At \/measurements\/3\/arm: No arm named “boy arm”/);
  expect(stderr).toMatch(/bad\.json:28:56: error: At \/measurements\/3\/time: "6O" is not a length of time/);
});
