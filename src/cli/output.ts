/**
 * Where a command's result goes: text or one JSON document, to the standard output or to --out.
 */
import { jsonText, toAscii, type Style } from '../index.js';
import type { CommonOptions } from './common-options.js';
import { shownPath } from './files.js';
import { writeWhole } from './growing-file.js';
import { colorLevel, complain, showsUnicode, styleFor, terminalColumns, type ColorLevel } from './terminal.js';

export const jsonDocument = (value: unknown): string => `${jsonText(value)}\n`;

const isForTerminal = ({ json, out }: CommonOptions): boolean => !json && out === undefined && process.stdout.isTTY;

/** Files and JSON hold no colours. */
export const outputColorLevel = (options: CommonOptions): ColorLevel =>
  options.json || options.out !== undefined ? 0 : colorLevel(process.stdout.isTTY);

/** As asked for, or as the terminal needs it; files and pipes get what was asked for. */
export const outputAscii = (options: CommonOptions): boolean => options.ascii || (isForTerminal(options) && !showsUnicode());

export const outputStyle = (options: CommonOptions): Style =>
  styleFor(outputColorLevel(options), outputAscii(options), isForTerminal(options) ? terminalColumns() : undefined);

/** Reports draw in ASCII if their style says so, but some of their words hold other signs. */
export const outputLines = (options: CommonOptions, lines: readonly string[]): readonly string[] => (outputAscii(options) ? lines.map(toAscii) : lines);

export const deliverable = (options: CommonOptions, lines: () => readonly string[], document: () => unknown): string =>
  options.json ? jsonDocument(document()) : outputLines(options, lines()).map((line) => `${line}\n`).join('');

/** For what --out takes in place of the standard output. */
export function deliver(options: CommonOptions, lines: () => readonly string[], document: () => unknown): void {
  const text = deliverable(options, lines, document);
  if (options.out === undefined) process.stdout.write(text);
  else writeWhole(options.out, text);
}

/** A file was asked for that there is nothing to write into; `what` as in “No plan was found”. */
export const notWritten = (options: CommonOptions, what: string, path: string): void => {
  warn(options, [`transloom: ${what}, so ${shownPath(path)} is not written.`]);
};

export function warn(options: CommonOptions, warnings: readonly string[]): void {
  if (!options.quiet) complain(warnings);
}
