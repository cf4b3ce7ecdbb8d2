/**
 * Reads documents with the catalogs they name, and writes results whole or not at all. The room `cli/` is the only one
 * that touches the file system; beside this, `watch-file.ts` waits for saves.
 */
import { isUtf8 } from 'node:buffer';
import {
  chmodSync,
  closeSync,
  openSync,
  readFileSync,
  readSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import { StringDecoder } from 'node:string_decoder';
import { fileURLToPath } from 'node:url';
import {
  CATALOG_POINTER,
  catalogReference,
  findingsBeneath,
  findingSentence,
  isPicture,
  parseCatalog,
  parseJson,
  parseMeasurements,
  placeAt,
  readPicture,
  type Catalog,
  type Checked,
  type Finding,
  type Measurements,
  type Place,
} from '../index.js';
import { InputError } from './exit-codes.js';
import { reasonOf } from './reasons.js';

/** The data that ships with the package. */
const MODELS = fileURLToPath(new URL('../../models/', import.meta.url));

export const DEMO_BRIEF = join(MODELS, 'briefs', 'grain-100-narrow.json');

/** Stands for "-", which the library for arguments takes for an empty text. A file of this name is "./(standard input)". */
export const STDIN = '(standard input)';

/** As a reader wrote it, or relative to where they are if that is shorter. */
export function shownPath(path: string): string {
  if (path === STDIN) return STDIN;
  if (path === '') return '“”';
  const near = relative(process.cwd(), path);
  return near !== '' && !near.startsWith('..') && near.length < path.length ? near : path;
}

export interface Document {
  readonly path: string;
  readonly value: unknown;
  /** Drawn, not written as JSON: its places are lines, columns and tiles, and pointers say nothing to who drew it. */
  readonly isPicture: boolean;
  readonly placeOf: (pointer: string) => Place | undefined;
}

const STDIN_CHUNK_BYTES = 65_536;
const STDIN_PAUSE_MS = 5;

/** To its end, also where it was opened not to block and its writer is slow: such a read gives EAGAIN until there is more. */
function readStdin(): Buffer {
  const chunks: Buffer[] = [];
  const pause = new Int32Array(new SharedArrayBuffer(4));
  for (;;) {
    try {
      const chunk = Buffer.alloc(STDIN_CHUNK_BYTES);
      const length = readSync(0, chunk, 0, STDIN_CHUNK_BYTES, null);
      if (length === 0) return Buffer.concat(chunks);
      chunks.push(chunk.subarray(0, length));
    } catch (thrown) {
      if (!(thrown instanceof Error && 'code' in thrown && thrown.code === 'EAGAIN')) throw thrown;
      Atomics.wait(pause, 0, 0, STDIN_PAUSE_MS);
    }
  }
}

function readBytes(path: string): Buffer {
  try {
    return path === STDIN ? readStdin() : readFileSync(path);
  } catch (thrown) {
    const finding = fileFinding('file-unreadable', path, reasonOf(thrown));
    throw new InputError([`transloom: ${findingSentence(finding)}`]);
  }
}

/** Where bytes are no UTF-8, reading them as such puts other bytes in their place, and the first to differ is at the fault. */
function readText(path: string): string {
  const bytes = readBytes(path);
  const text = bytes.toString('utf8');
  if (isUtf8(bytes)) return text;
  const readBack = Buffer.from(text);
  const sound = bytes.subarray(0, bytes.findIndex((byte, at) => byte !== readBack[at])).toString('utf8');
  throw new InputError([findingLine(path, placeAt(sound, sound.length), fileFinding('not-utf8', path, ''))]);
}

const fileFinding = (code: string, path: string, reason: string): Finding => ({
  severity: 'error',
  code,
  values: { path: shownPath(path), reason },
});

const withAdvice = (finding: Finding, advice: string | undefined): Finding =>
  advice === undefined ? finding : { ...finding, values: { ...finding.values, advice } };

/** Ends the name of a plan that is drawn. */
const PICTURE_ENDING = '.plan.txt';

export const isPictureFile = (path: string): boolean => path.endsWith(PICTURE_ENDING);

export function readDocument(path: string): Document {
  const text = readText(path);
  if (isPicture(text) || isPictureFile(path)) {
    const picture = readPicture(text);
    if (picture.ok) return { path, value: picture.value, isPicture: true, placeOf: (pointer) => picture.placeOf(pointer) };
    throw new InputError(picture.flaws.map(({ sentence, place }) => `${shownPath(path)}:${place.line}:${place.column}: error: ${sentence}`));
  }
  const parsed = parseJson(text);
  if (!parsed.ok) {
    throw new InputError([findingLine(path, parsed.place, withAdvice(fileFinding('not-json', path, parsed.reason), parsed.advice))]);
  }
  return { path, value: parsed.value, isPicture: false, placeOf: (pointer) => parsed.placeOf(pointer) };
}

/** "plan.json:12:8: error: At /parts/3: …", which editors can jump to. */
function findingLine(path: string, place: Place | undefined, finding: Finding): string {
  const where = place === undefined ? '' : `:${place.line}:${place.column}`;
  return `${shownPath(path)}${where}: ${finding.severity}: ${findingSentence(finding)}`;
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

function inOrder(document: Document, findings: readonly Finding[]): readonly string[] {
  const rank = (finding: Finding): number => {
    const place = document.placeOf(finding.pointer ?? '');
    return place === undefined ? 0 : place.line * 100_000 + place.column;
  };
  return findingLines(document, [...findings].sort((a, b) => rank(a) - rank(b)));
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
    case 'none':
      return catalogOf(document);
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

/** A file that is written bit by bit and stands there only once it is whole. What is no plain file is written to as it is. */
class GrowingFile {
  private readonly aside: string | undefined;
  private readonly target: string;
  private readonly mode: number | undefined;
  private descriptor: number | undefined;
  private isDone = false;

  constructor(private readonly path: string) {
    const known = this.tried(() => statSync(path, { throwIfNoEntry: false }));
    this.mode = known?.mode;
    this.target = this.tried(() => (known === undefined ? resolve(path) : realpathSync(path)));
    const isPlain = known === undefined || known.isFile();
    this.aside = isPlain ? join(dirname(this.target), `.${basename(this.target)}.${process.pid}.tmp`) : undefined;
    this.descriptor = this.tried(() => openSync(this.aside ?? path, 'w'));
    process.once('exit', this.abandon);
  }

  append(text: string): void {
    this.tried(() => {
      if (this.descriptor !== undefined) writeFileSync(this.descriptor, text);
    });
  }

  finish(): void {
    this.tried(() => {
      this.close();
      if (this.aside === undefined) return;
      if (this.mode !== undefined) chmodSync(this.aside, this.mode);
      renameSync(this.aside, this.target);
    });
    this.isDone = true;
    process.off('exit', this.abandon);
  }

  /** Leaves what was there before; nothing happens once the file is finished. */
  readonly abandon = (): void => {
    if (this.isDone) return;
    this.isDone = true;
    this.close();
    if (this.aside !== undefined) rmSync(this.aside, { force: true });
    process.off('exit', this.abandon);
  };

  private close(): void {
    if (this.descriptor !== undefined) closeSync(this.descriptor);
    this.descriptor = undefined;
  }

  private tried<T>(work: () => T): T {
    try {
      return work();
    } catch (thrown) {
      this.abandon();
      throw new InputError([`transloom: The file ${shownPath(this.path)} can't be written (${reasonOf(thrown)}); name another.`]);
    }
  }
}

/** Says at once if that file can't be written, and leaves nothing there. Devices and pipes are not tried: to be opened and closed means something to who reads from them. */
export function tryWriting(path: string): void {
  if (isDevice(path)) return;
  new GrowingFile(path).abandon();
}

function isDevice(path: string): boolean {
  try {
    const known = statSync(path, { throwIfNoEntry: false });
    return known !== undefined && !known.isFile() && !known.isDirectory();
  } catch {
    return false;
  }
}

/** Files that were opened before a long search, one for each name that was given. */
export const opened = (path: string | undefined): GrowingFile | undefined => (path === undefined ? undefined : new GrowingFile(path));

/** Nothing is written where there is no file or no text. */
export function finishWith(file: GrowingFile | undefined, text: string | undefined): void {
  if (text === undefined) return;
  file?.append(text);
  file?.finish();
}

/** Whole or not at all. */
export function writeWhole(path: string, text: string): void {
  const file = new GrowingFile(path);
  file.append(text);
  file.finish();
}

const CHUNK_BYTES = 65_536;
/** Nobody means a line of so many UTF-16 units; what lies beyond is dropped. */
const LONGEST_LINE = 1 << 26;

function* fileLines(path: string): Generator<string> {
  const descriptor = openSync(path, 'r');
  try {
    const decoder = new StringDecoder('utf8');
    const chunk = Buffer.alloc(CHUNK_BYTES);
    let rest = '';
    for (let length = readSync(descriptor, chunk); length > 0; length = readSync(descriptor, chunk)) {
      const lines = (rest + decoder.write(chunk.subarray(0, length))).split('\n');
      rest = (lines.pop() ?? '').slice(0, LONGEST_LINE);
      yield* lines;
    }
    if (rest !== '') yield rest;
  } finally {
    closeSync(descriptor);
  }
}

/** Reads a file's lines anew at each call, holding one of them; the standard input is read once and kept. */
export function linesOf(path: string): () => Iterable<string> {
  if (path !== STDIN) return () => fileLines(path);
  const lines = readText(path).split('\n');
  if (lines.at(-1) === '') lines.pop();
  return () => lines;
}

/** Whether a file can be read at all, said as for any other document. */
export function demandReadable(path: string): void {
  const finding = path === STDIN ? undefined : unreadable(path);
  if (finding !== undefined) throw new InputError([`transloom: ${findingSentence(finding)}`]);
}

function unreadable(path: string): Finding | undefined {
  try {
    closeSync(openSync(path, 'r'));
    if (statSync(path).isDirectory()) throw Object.assign(new Error(), { code: 'EISDIR' });
    return undefined;
  } catch (thrown) {
    return fileFinding('file-unreadable', path, reasonOf(thrown));
  }
}
