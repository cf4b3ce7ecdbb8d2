/**
 * The documents that tests read, and the seed of property tests (TRANSLOOM_SEED, else a fixed one).
 */
import { readFileSync, readdirSync } from 'node:fs';
import type { Brief } from '../src/brief/brief.js';
import { parseBrief } from '../src/brief/parse-brief.js';
import type { Catalog } from '../src/catalog/catalog.js';
import { parseCatalog } from '../src/catalog/parse-catalog.js';
import { catalogReference } from '../src/catalog/catalog-reference.js';
import type { Finding } from '../src/base/finding.js';

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

export function readCatalog(path: string): Catalog {
  const parsed = parseCatalog(readJson(path));
  if (!parsed.ok) throw new Error(`${path}: ${JSON.stringify(parsed.findings)}`);
  return parsed.value;
}

/** The catalog that a brief or plan file names. */
export function catalogOf(path: string): Catalog {
  const reference = catalogReference(readJson(path));
  if (reference.kind !== 'path') throw new Error(`${path} names no catalog file`);
  const found = new URL(reference.path, projectFile(path)).pathname;
  return readCatalog(found.slice(projectFile('').pathname.length));
}

/** "code pointer" of each finding, in order of text: what most tests compare. */
export const gist = (findings: readonly Finding[]): readonly string[] =>
  findings.map(({ code, pointer }) => `${code} ${pointer ?? ''}`.trimEnd()).sort();

/** The brief of a file, with some of its members changed. */
export function briefOf(path: string, changes: object = {}): Brief {
  const parsed = parseBrief({ ...(readJson(path) as object), ...changes }, catalogOf(path));
  if (!parsed.ok) throw new Error(`${path}: ${gist(parsed.findings).join()}`);
  return parsed.value;
}
