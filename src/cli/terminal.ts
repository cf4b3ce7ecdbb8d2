/**
 * What the program knows of the terminal: whether to colour, where to print, and what to do when the
 * reader of its output has gone.
 */
import { supportsColor } from 'chalk';
import { terminalInks, toAscii, wrap, type Style } from '../index.js';
import { EXIT } from './exit-codes.js';
import { reasonOf } from './reasons.js';

export type ColorLevel = 0 | 1 | 2 | 3;

/**
 * FORCE_COLOR (0 to 3, true, false, or set at all) outranks NO_COLOR (set to anything but nothing),
 * which outranks what the terminal can do.
 */
export function colorLevel(isTerminal: boolean, env: NodeJS.ProcessEnv = process.env): ColorLevel {
  const force = env['FORCE_COLOR'];
  if (force !== undefined) {
    if (force === '0' || force === 'false') return 0;
    if (force === '2') return 2;
    return force === '3' ? 3 : 1;
  }
  if ((env['NO_COLOR'] ?? '') !== '' || !isTerminal || env['TERM'] === 'dumb') return 0;
  return supportsColor === false ? 1 : supportsColor.level;
}

/** Whether the locale is one of UTF-8; where none is set, a terminal is taken to show all signs. */
export function showsUnicode(env: NodeJS.ProcessEnv = process.env): boolean {
  const locale = [env['LC_ALL'], env['LC_CTYPE'], env['LANG']].find((each) => each !== undefined && each !== '');
  return locale === undefined || /utf-?8/i.test(locale);
}

/** No less than this many columns are reckoned with: narrower tables would say nothing. */
const LEAST_COLUMNS = 40;

/** Of the terminal that the standard output is; undefined elsewhere. */
export const terminalColumns = (): number | undefined =>
  process.stdout.isTTY && process.stdout.columns > 0 ? Math.max(LEAST_COLUMNS, process.stdout.columns) : undefined;

export const styleFor = (level: ColorLevel, ascii: boolean, columns?: number): Style => ({
  ink: terminalInks(level),
  ascii,
  ...(columns === undefined ? {} : { columns }),
});

/**
 * A reader that stops reading (such as `head`) ends the program quietly; a full disk ends it too, and is told. What goes
 * wrong on the error stream can be told nowhere, and the answer may still get through.
 */
export function endQuietlyWithoutReader(): void {
  process.stderr.on('error', () => undefined);
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit();
    complain([`transloom: The standard output can't be written (${reasonOf(error)}); send it elsewhere.`]);
    process.exit(EXIT.badInput);
  });
}

export const printLines = (lines: readonly string[]): void => {
  process.stdout.write(lines.map((line) => `${line}\n`).join(''));
};

/** Names of files and fields come as they were given, but a terminal would obey these signs. */
const tame = (line: string): string => line.replaceAll(/[\p{Cc}\p{Zl}\p{Zp}]/gu, (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, '0')}`);

/** Help, progress and what is wrong are told before options are read: what was asked for holds for them too. */
export const tellsInAscii = ({ isTTY }: { readonly isTTY?: boolean }): boolean => process.argv.includes('--ascii') || (isTTY === true && !showsUnicode());

const shownText = (text: string): string => (tellsInAscii(process.stderr) ? toAscii(text) : text);

/** Errors and warnings. */
export function complain(lines: readonly string[]): void {
  const ink = terminalInks(colorLevel(process.stderr.isTTY));
  for (const line of lines) {
    const colored = shownText(tame(line))
      .replace(/: error: /, `: ${ink('bad', 'error')}: `)
      .replace(/: warning: /, `: ${ink('warn', 'warning')}: `);
    process.stderr.write(`${colored}\n`);
  }
}

const CLEAR_LINE = '\r\u001b[2K';

/** A sign at the very end of a line may begin the next one. */
const columnsForProgress = (): number => (process.stderr.columns || 80) - 1;

/** One line that overwrites itself, on a terminal only. */
export class ProgressLine {
  #shown = false;
  #lastAt = 0;

  constructor(private readonly wanted: boolean) {}

  show(text: string): void {
    const now = Date.now();
    if (!this.wanted || !process.stderr.isTTY || now - this.#lastAt < 100) return;
    this.#lastAt = now;
    this.#shown = true;
    process.stderr.write(`${CLEAR_LINE}${shownText(text).slice(0, columnsForProgress())}`);
  }

  /** A sentence that stays. */
  keep(text: string): void {
    if (!this.wanted || !process.stderr.isTTY) return;
    this.clear();
    process.stderr.write(`${wrap(shownText(text), columnsForProgress() - 2, 0).join('\n  ')}\n`);
  }

  clear(): void {
    if (this.#shown) process.stderr.write(CLEAR_LINE);
    this.#shown = false;
  }
}
