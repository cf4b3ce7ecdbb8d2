/**
 * Reads briefs, plans, catalogs and measurements, with the catalogs they name. Every finding becomes a line that says where.
 */
import { dirname, isAbsolute, relative, resolve, sep } from 'node:path';
import {
  CATALOG_POINTER,
  catalogReference,
  findingsBeneath,
  isPicture,
  parseCatalog,
  parseJson,
  parseMeasurements,
  readPicture,
  type Catalog,
  type Checked,
  type Finding,
  type Measurements,
  type Place,
} from '../index.js';
import { InputError } from './exit-codes.js';
import { fileFinding, findingLine, isPictureFile, readText, shownPath, STDIN, unreadable } from './files.js';

export interface Document {
  readonly path: string;
  readonly value: unknown;
  /** Drawn, not written as JSON: its places are lines, columns and tiles, and pointers say nothing to who drew it. */
  readonly isPicture: boolean;
  readonly placeOf: (pointer: string) => Place | undefined;
}

const withAdvice = (finding: Finding, advice: string | undefined): Finding =>
  advice === undefined ? finding : { ...finding, values: { ...finding.values, advice } };

/** What a text that is no JSON is instead, and what to do then. */
function adviceOnText(text: string): string | undefined {
  if (text.startsWith('{"step":"opened"')) return 'it is a proof log, so take it to “transloom replay”';
  if (/^\s*</.test(text)) return 'it seems to be a page or a drawing, which no command reads; name the file of which it was made';
  return text.startsWith('number,') ? 'it seems to be a table of “transloom tradeoffs”, which no command reads; name the brief' : undefined;
}

/** A command may take documents of other formats too, as `also` goes on to say. */
export const orOfFormat = (findings: readonly Finding[], also: string): readonly Finding[] =>
  findings.map((finding) => (finding.code === 'wrong-format' && finding.pointer === '/format' ? { ...finding, values: { ...finding.values, also } } : finding));

export function readDocument(path: string): Document {
  const text = readText(path);
  if (isPicture(text) || isPictureFile(path)) {
    const picture = readPicture(text);
    if (picture.ok) return { path, value: picture.value, isPicture: true, placeOf: (pointer) => picture.placeOf(pointer) };
    throw new InputError(picture.flaws.map(({ sentence, place }) => `${shownPath(path)}:${place.line}:${place.column}: error: ${sentence}`));
  }
  const parsed = parseJson(text);
  if (!parsed.ok) {
    throw new InputError([findingLine(path, parsed.place, withAdvice(fileFinding('not-json', path, parsed.reason), parsed.advice ?? adviceOnText(text)))]);
  }
  return { path, value: parsed.value, isPicture: false, placeOf: (pointer) => parsed.placeOf(pointer) };
}

export function findingLines({ path, isPicture: isDrawn, placeOf }: Document, findings: readonly Finding[]): readonly string[] {
  const lines = findings.map((finding) => {
    const { pointer, ...rest } = finding;
    return findingLine(path, placeOf(pointer ?? ''), isDrawn ? rest : finding);
  });
  // One line of a picture names the model of many parts.
  return isDrawn ? [...new Set(lines)] : lines;
}

export interface Loaded<T> {
  readonly document: Document;
  readonly value: T;
  /** The catalog's own document, wherever it stands. */
  readonly catalog: unknown;
  readonly warnings: readonly string[];
}

/** The value, or an error with every finding in the order of the document. */
function accept<T>(
  document: Document,
  checked: Checked<T>,
  catalog: unknown,
  warnings: readonly string[] = [],
): Loaded<T> {
  if (!checked.ok) throw new InputError(inOrder(document, checked.findings));
  return { document, value: checked.value, catalog, warnings: [...warnings, ...inOrder(document, checked.warnings)] };
}

/** Another reading of the same document. */
export function acceptMore<T>({ document }: Loaded<unknown>, checked: Checked<T>): T {
  return accept(document, checked, undefined).value;
}

/** Those without a place come first. */
function inOrder(document: Document, findings: readonly Finding[]): readonly string[] {
  const placed = findings.map((finding) => ({ finding, place: document.placeOf(finding.pointer ?? '') ?? { line: 0, column: 0 } }));
  const sorted = placed.sort((a, b) => a.place.line - b.place.line || a.place.column - b.place.column);
  return findingLines(document, sorted.map(({ finding }) => finding));
}

/** The catalog's file that a document names; one that can't be read is told where it is named. */
function loadNamedCatalog(document: Document, path: string): Loaded<Catalog> {
  const file = pathFrom(document.path, path);
  const finding = unreadable(file);
  if (finding !== undefined) throw new InputError(findingLines(document, [{ ...withAdvice(finding, adviceOn(path)), pointer: CATALOG_POINTER }]));
  return catalogOf(readDocument(file));
}

/** On how to name a file within another. */
function adviceOn(path: string): string | undefined {
  // Elsewhere than on Windows “\\” is a sign of a name like any other.
  if (sep === '/' && path.includes('\\')) return 'write “/” between folders, which is understood everywhere';
  return isAbsolute(path) ? undefined : 'name one that can, as seen from the folder of the file that names it';
}

const catalogOf = (document: Document): Loaded<Catalog> => accept(document, parseCatalog(document.value), document.value);

/** A catalog, or that of a brief or a plan. */
export function loadCatalogWithin(path: string): Loaded<Catalog> {
  const document = readDocument(path);
  const reference = catalogReference(document.value);
  switch (reference.kind) {
    case 'none': {
      const checked = parseCatalog(document.value);
      return accept(document, checked.ok ? checked : { ...checked, findings: orOfFormat(checked.findings, ', "transloom-brief/1" or "transloom-plan/1"') }, document.value);
    }
    case 'path':
      return loadNamedCatalog(document, reference.path);
    case 'inline': {
      const checked = parseCatalog(reference.value);
      const beneath = checked.ok
        ? { ...checked, warnings: findingsBeneath(CATALOG_POINTER, checked.warnings) }
        : { ...checked, findings: findingsBeneath(CATALOG_POINTER, checked.findings) };
      return accept(document, beneath, reference.value);
    }
  }
}

export const loadMeasurements = (path: string): Loaded<Measurements> => {
  const document = readDocument(path);
  return accept(document, parseMeasurements(document.value), undefined);
};

/** What the file at `from` means by `path`. */
function pathFrom(from: string, path: string): string {
  const folder = from === STDIN ? process.cwd() : dirname(from);
  return isAbsolute(path) ? path : resolve(folder, path);
}

/** The file of the catalog that a document names. Undefined also where the document can't be read: whoever needs it tells so. */
export function namedCatalogFile(path: string): string | undefined {
  try {
    const reference = catalogReference(readDocument(path).value);
    return reference.kind === 'path' ? pathFrom(path, reference.path) : undefined;
  } catch (thrown) {
    if (thrown instanceof InputError) return undefined;
    throw thrown;
  }
}

/** By which path a copy of the document at `target` would name its catalog's file; undefined if that stands inside it. */
export function catalogPathFor({ path, value }: Document, target: string): string | undefined {
  const reference = catalogReference(value);
  if (reference.kind !== 'path') return undefined;
  if (isAbsolute(reference.path)) return reference.path;
  return relative(dirname(resolve(target)), pathFrom(path, reference.path)).replaceAll('\\', '/');
}

/**
 * A brief or a plan with its catalog. `parse` and `checkForm` are the readers of that kind of document:
 * the whole of it against a catalog, and its form alone, for when the catalog can't be read.
 */
export function loadWithCatalog<T>(
  path: string,
  parse: (json: unknown, catalog: Catalog) => Checked<T>,
  checkForm: (json: unknown) => readonly Finding[],
): Loaded<T> {
  const document = readDocument(path);
  const reference = catalogReference(document.value);
  switch (reference.kind) {
    case 'none':
      throw new InputError(inOrder(document, checkForm(document.value)));
    case 'inline': {
      const catalog = parseCatalog(reference.value);
      if (!catalog.ok) {
        const findings = [...checkForm(document.value), ...findingsBeneath(CATALOG_POINTER, catalog.findings)];
        throw new InputError(inOrder(document, findings));
      }
      const warnings = inOrder(document, findingsBeneath(CATALOG_POINTER, catalog.warnings));
      return accept(document, parse(document.value, catalog.value), reference.value, warnings);
    }
    case 'path': {
      const catalog = loadNamedCatalog(document, reference.path);
      return accept(document, parse(document.value, catalog.value), catalog.catalog, catalog.warnings);
    }
  }
}
