/**
 * Names of files, and what stands in them as text, whole or line by line. What is JSON or a picture is read in
 * `documents.ts`; files are written in `growing-file.ts`. The room `cli/` is the only one that touches the file system.
 */
import { isUtf8 } from 'node:buffer';
import { accessSync, closeSync, constants, openSync, readSync, statSync } from 'node:fs';
import { join, relative } from 'node:path';
import { StringDecoder } from 'node:string_decoder';
import { fileURLToPath } from 'node:url';
import { findingSentence, placeAt, type Finding, type Place } from '../index.js';
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

const CHUNK_BYTES = 65_536;
const PAUSE_MS = 5;
/** Of a file that is read whole, in MiB; a plan that fills the largest site has some 10. What has no end, such as a device, is read no further either. */
const MOST_MEBIBYTES = 128;
const MOST_BYTES = MOST_MEBIBYTES * 1024 * 1024;

/** To its end, also where it was opened not to block and its writer is slow: such a read gives EAGAIN until there is more. Undefined where there is too much. */
function readToEnd(descriptor: number): Buffer | undefined {
  const chunks: Buffer[] = [];
  const pause = new Int32Array(new SharedArrayBuffer(4));
  for (let bytes = 0; bytes <= MOST_BYTES; ) {
    try {
      const chunk = Buffer.alloc(CHUNK_BYTES);
      const length = readSync(descriptor, chunk, 0, CHUNK_BYTES, null);
      if (length === 0) return Buffer.concat(chunks);
      chunks.push(chunk.subarray(0, length));
      bytes += length;
    } catch (thrown) {
      if (!(thrown instanceof Error && 'code' in thrown && thrown.code === 'EAGAIN')) throw thrown;
      Atomics.wait(pause, 0, 0, PAUSE_MS);
    }
  }
  return undefined;
}

function readFile(path: string): Buffer | undefined {
  const descriptor = openSync(path, 'r');
  try {
    return readToEnd(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

const refused = (finding: Finding): InputError => new InputError([`transloom: ${findingSentence(finding)}`]);

/** Kept, for it can be read only once. */
let standardInput: Buffer | undefined;

function readBytes(path: string): Buffer {
  let bytes: Buffer | undefined;
  try {
    bytes = path === STDIN ? (standardInput ??= readToEnd(0)) : readFile(path);
  } catch (thrown) {
    throw refused(fileFinding('file-unreadable', path, reasonOf(thrown)));
  }
  if (bytes === undefined) throw refused(fileFinding('file-too-long', path, `${MOST_MEBIBYTES} MiB`));
  return bytes;
}

/** Where bytes are no UTF-8, reading them as such puts other bytes in their place, and the first to differ is at the fault. */
export function readText(path: string): string {
  const bytes = readBytes(path);
  const text = bytes.toString('utf8');
  if (isUtf8(bytes)) return text;
  const readBack = Buffer.from(text);
  const sound = bytes.subarray(0, bytes.findIndex((byte, at) => byte !== readBack[at])).toString('utf8');
  throw new InputError([findingLine(path, placeAt(sound, sound.length), fileFinding('not-utf8', path, ''))]);
}

/** "plan.json:12:8: error: At /parts/3: …", which editors can jump to. */
export function findingLine(path: string, place: Place | undefined, finding: Finding): string {
  const where = place === undefined ? '' : `:${place.line}:${place.column}`;
  return `${shownPath(path)}${where}: ${finding.severity}: ${findingSentence(finding)}`;
}

export const fileFinding = (code: string, path: string, reason: string): Finding => ({
  severity: 'error',
  code,
  values: { path: shownPath(path), reason },
});

/** Ends the name of a plan that is drawn. */
const PICTURE_ENDING = '.plan.txt';

export const isPictureFile = (path: string): boolean => path.endsWith(PICTURE_ENDING);

/** Nobody means a line of so many UTF-16 units: what has one is no log, and is read no further. */
const LONGEST_LINE = 1 << 26;

function* fileLines(path: string): Generator<string> {
  const descriptor = openSync(path, 'r');
  try {
    const decoder = new StringDecoder('utf8');
    const chunk = Buffer.alloc(CHUNK_BYTES);
    // Pieces of the line that has not ended yet: to join them at each piece would take as long as the line is, each time.
    let begun: string[] = [];
    let length = 0;
    for (let bytes = readSync(descriptor, chunk); bytes > 0 && length <= LONGEST_LINE; bytes = readSync(descriptor, chunk)) {
      const [first, ...others] = decoder.write(chunk.subarray(0, bytes)).split('\n');
      begun.push(first);
      length += first.length;
      for (const other of others) {
        yield withoutReturn(begun.join(''));
        begun = [other];
        length = other.length;
      }
    }
    if (length > 0) yield withoutReturn(begun.join(''));
  } finally {
    closeSync(descriptor);
  }
}

/** Lines may end as other systems end them. */
const withoutReturn = (line: string): string => (line.endsWith('\r') ? line.slice(0, -1) : line);

/** Reads a file's lines anew at each call, holding one of them; what can be read only once, such as a pipe, is read whole and kept. */
export function linesOf(path: string): () => Iterable<string> {
  if (path !== STDIN && statSync(path).isFile()) return () => fileLines(path);
  const lines = readText(path).split('\n').map(withoutReturn);
  if (lines.at(-1) === '') lines.pop();
  return () => lines;
}

/** Whether a file can be read at all, said as for any other document. */
export function demandReadable(path: string): void {
  const finding = path === STDIN ? undefined : unreadable(path);
  if (finding !== undefined) throw refused(finding);
}

/** Not by opening it: who writes into a pipe would take it for a reader that has gone. */
export function unreadable(path: string): Finding | undefined {
  try {
    accessSync(path, constants.R_OK);
    if (statSync(path).isDirectory()) throw Object.assign(new Error(), { code: 'EISDIR' });
    return undefined;
  } catch (thrown) {
    return fileFinding('file-unreadable', path, reasonOf(thrown));
  }
}
