/**
 * What the bench measures: the briefs of `test/cases/`, which are those of the tests, and plans for the
 * two simulators. How they are measured is in the `measure-*.ts` files.
 */
import { readFileSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Checked } from '../src/base/finding.js';
import type { Brief } from '../src/brief/brief.js';
import { parseBrief } from '../src/brief/parse-brief.js';
import type { Catalog } from '../src/catalog/catalog.js';
import { catalogReference } from '../src/catalog/catalog-reference.js';
import { parseCatalog } from '../src/catalog/parse-catalog.js';
import type { Layout } from '../src/layout/layout.js';
import { parsePlan } from '../src/layout/parse-plan.js';

export const ROOT = fileURLToPath(new URL('..', import.meta.url));

/** Sites on which solvers of the whole grid come to an end, and those of the headline, on which they don't. */
const FAMILIES = ['tiny-', 'headline-'];

export interface BriefCase {
  readonly name: string;
  readonly path: string;
}

export const filesIn = (folder: string): readonly string[] =>
  readdirSync(join(ROOT, folder))
    .filter((file) => file.endsWith('.json'))
    .sort()
    .map((file) => join(ROOT, folder, file));

export const nameOf = (path: string): string => path.replace(/^.*[\\/]/, '').replace(/\.json$/, '');

export const briefCases = (): readonly BriefCase[] =>
  FAMILIES.flatMap((family) =>
    filesIn('test/cases')
      .map((path) => ({ name: nameOf(path), path }))
      .filter(({ name }) => name.startsWith(family) && !name.endsWith('-catalog')),
  );

function accepted<T>(path: string, checked: Checked<T>): T {
  if (!checked.ok) throw new Error(`${path}: ${JSON.stringify(checked.findings)}`);
  return checked.value;
}

export const readJson = (path: string): unknown => JSON.parse(readFileSync(path, 'utf8')) as unknown;

function read<T>(path: string, parse: (json: unknown, catalog: Catalog) => Checked<T>): T {
  const document = readJson(path);
  const reference = catalogReference(document);
  if (reference.kind === 'none') throw new Error(`${path} names no catalog`);
  const catalog = reference.kind === 'inline' ? reference.value : readJson(join(dirname(path), reference.path));
  return accepted(path, parse(document, accepted(path, parseCatalog(catalog))));
}

export const readBrief = (path: string): Brief => read(path, parseBrief);
export const readPlan = (path: string): Layout => read(path, parsePlan);

/** The sample plans that items leave; those that only fill wagons count nothing at an exit. */
export const planCases = (): readonly { readonly name: string; readonly layout: Layout }[] =>
  filesIn('models/plans')
    .map((path) => ({ name: nameOf(path), layout: readPlan(path) }))
    .filter(({ layout }) => layout.exits.length > 0);

/** A plan as a command wrote it, with its catalog in it. */
export function layoutOfPlan(plan: unknown): Layout {
  const reference = catalogReference(plan);
  if (reference.kind !== 'inline') throw new Error('a plan that holds its catalog');
  return accepted('plan', parsePlan(plan, accepted('catalog', parseCatalog(reference.value))));
}
