/**
 * Stored plans to stored pictures. A missing picture fails, and so does one whose plan is gone.
 * `TRANSLOOM_UPDATE_GOLDEN=1 npx vitest run test/golden` writes them anew; look at what changed.
 */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { pictureReport, pictureSvg, plainInks, tryPlan, type Style } from '../../src/index.js';
import { jsonFiles, planOf } from '../documents.js';

const HERE = dirname(fileURLToPath(import.meta.url));
const UPDATE = process.env['TRANSLOOM_UPDATE_GOLDEN'] === '1';

const STYLES: readonly (readonly [folder: string, style: Style])[] = [
  ['terminal', { ink: plainInks, ascii: false }],
  ['ascii', { ink: plainInks, ascii: true }],
];

const plans = [...jsonFiles('test/golden/plans'), ...jsonFiles('models/plans')];

const nameOf = (path: string, ending = '.txt'): string => (path.split('/').at(-1) ?? '').replace(/\.json$/, ending);

describe.each(STYLES)('%s pictures', (folder, style) => {
  it.each(plans.map((path): [string, string] => [nameOf(path), path]))('%s', (name, path) => {
    const drawn = `${pictureReport(tryPlan(planOf(path), undefined), style).join('\n')}\n`;
    const stored = join(HERE, folder, name);
    if (UPDATE) writeFileSync(stored, drawn);
    expect(drawn).toBe(readFileSync(stored, 'utf8'));
  });

  it('has no picture without a plan', () => {
    expect(readdirSync(join(HERE, folder)).sort()).toEqual(plans.map((path) => nameOf(path)).sort());
  });

  it('keeps to its signs and leaves no spaces at line ends', () => {
    for (const path of plans) {
      const lines = pictureReport(tryPlan(planOf(path), undefined), style);
      expect(lines.filter((line) => line !== line.trimEnd())).toEqual([]);
      if (style.ascii) expect(lines.filter((line) => !/^[ -~]*$/.test(line))).toEqual([]);
    }
  });
});

describe('svg pictures', () => {
  it.each(plans.map((path): [string, string] => [nameOf(path, '.svg'), path]))('%s', (name, path) => {
    const drawn = pictureSvg(tryPlan(planOf(path), undefined));
    const stored = join(HERE, 'svg', name);
    if (UPDATE) writeFileSync(stored, drawn);
    expect(drawn).toBe(readFileSync(stored, 'utf8'));
    expect(drawn).not.toMatch(/undefined|NaN|Infinity|\[object/);
  });

  it('have a plan each', () => {
    expect(readdirSync(join(HERE, 'svg')).sort()).toEqual(plans.map((path) => nameOf(path, '.svg')).sort());
  });
});
