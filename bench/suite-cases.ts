/**
 * The suite: briefs of `test/cases/` from easy to hard, with the table `test/cases/suite.json` on them.
 * What the table's fields mean is in `test/cases/README.md`; how the suite is measured, in `suite.ts`.
 */
import { join } from 'node:path';
import type { Brief } from '../src/brief/brief.js';
import { ROOT, filesIn, nameOf, readJson, type BriefCase } from './cases.js';

export type Hardness = 'belts' | 'wagons' | 'area' | 'catalog';

export interface SuiteEntry {
  readonly name: string;
  readonly hardFor: readonly Hardness[];
  /** In seconds from the start of a design; without `proofSeconds`, the brief only shows how far a run comes. */
  readonly goals: { readonly firstLayoutSeconds: number; readonly proofSeconds?: number };
}

export type Count = 'belts' | 'wagons' | 'tiles';

/** Briefs that differ in size alone, the least first. */
export interface SuiteSeries {
  readonly counts: Count;
  readonly title: string;
  readonly briefs: readonly string[];
}

export interface SuiteTable {
  readonly briefs: readonly SuiteEntry[];
  readonly series: readonly SuiteSeries[];
}

/** Its form is held by `test/cases/suite-covers.test.ts`. */
export const suiteTable = (): SuiteTable => readJson(join(ROOT, 'test/cases/suite.json')) as SuiteTable;

export const suiteCases = (): readonly BriefCase[] =>
  filesIn('test/cases')
    .map((path) => ({ name: nameOf(path), path }))
    .filter(({ name }) => name.startsWith('suite-') && !name.endsWith('-catalog'));

/** Tiles: of the site, with those that are kept out. */
export const sizeOf = ({ exits, wagons, site }: Brief): Readonly<Record<Count, number>> => ({
  belts: exits.length,
  wagons: wagons.length,
  tiles: site.width * site.depth,
});
