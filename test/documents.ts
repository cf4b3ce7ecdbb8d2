/**
 * The documents that tests read, and the seed of property tests (TRANSLOOM_SEED, else a fixed one).
 */
import { readFileSync, readdirSync } from 'node:fs';
import type { Brief } from '../src/brief/brief.js';
import { parseBrief } from '../src/brief/parse-brief.js';
import type { Catalog } from '../src/catalog/catalog.js';
import { parseCatalog } from '../src/catalog/parse-catalog.js';
import { catalogReference } from '../src/catalog/catalog-reference.js';
import type { Checked, Finding } from '../src/base/finding.js';
import type { LoadJob } from '../src/brief/load-job.js';
import type { Layout } from '../src/layout/layout.js';
import { parsePlan } from '../src/layout/parse-plan.js';

export const SEED = Number(process.env['TRANSLOOM_SEED'] ?? '20240229');

/** `path` is relative to the project's root. */
export const projectFile = (path: string): URL => new URL(`../${path}`, import.meta.url);

export const readJson = (path: string): unknown => JSON.parse(readFileSync(projectFile(path), 'utf8')) as unknown;

/** JSON files of a folder, as paths relative to the project's root, in order. */
export const jsonFiles = (folder: string): readonly string[] =>
  readdirSync(projectFile(folder))
    .filter((name) => name.endsWith('.json'))
    .sort()
    .map((name) => `${folder}/${name}`);

/** What was read, where it has to be sound. */
export function sound<T>(read: Checked<T>, what = 'a document'): T {
  if (!read.ok) throw new Error(`${what}: ${gist(read.findings).join()}`);
  return read.value;
}

const soundCatalog = (json: unknown, path: string): Catalog => sound(parseCatalog(json), path);

export const readCatalog = (path: string): Catalog => soundCatalog(readJson(path), path);

/** The catalog that a brief or plan file names, or holds. */
export function catalogOf(path: string): Catalog {
  const reference = catalogReference(readJson(path));
  if (reference.kind === 'inline') return soundCatalog(reference.value, path);
  if (reference.kind === 'none') throw new Error(`${path} has no catalog`);
  const found = new URL(reference.path, projectFile(path)).pathname;
  return readCatalog(found.slice(projectFile('').pathname.length));
}

/** "code pointer" of each finding, in order of text: what most tests compare. */
export const gist = (findings: readonly Finding[]): readonly string[] =>
  findings.map(({ code, pointer }) => `${code} ${pointer ?? ''}`.trimEnd()).sort();

/** The brief of a file, with some of its members changed. */
export const briefOf = (path: string, changes: object = {}): Brief => sound(parseBrief({ ...(readJson(path) as object), ...changes }, catalogOf(path)), path);

/** What a brief asks for that has wagons filled. */
export function loadJobOf({ name, load }: Brief): LoadJob {
  if (load === undefined) throw new Error(`${name}: a brief that loads`);
  return load;
}

/** The plan of a file, with some of its members changed. */
export const planOf = (path: string, changes: object = {}): Layout => sound(parsePlan({ ...(readJson(path) as object), ...changes }, catalogOf(path)), path);

/** The plan of a document that holds its catalog. */
export const planIn = (json: { readonly catalog: unknown }): Layout => sound(parsePlan(json, soundCatalog(json.catalog, 'a plan')), 'a plan');
