/**
 * Files that are written whole or not at all.
 */
import { chmodSync, closeSync, openSync, realpathSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { InputError } from './exit-codes.js';
import { shownPath } from './files.js';
import { reasonOf } from './reasons.js';

/** What ends a program from outside, without its being asked. */
const ENDINGS = ['SIGTERM', 'SIGHUP'] as const;

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
    for (const signal of ENDINGS) process.once(signal, this.endBy);
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
    this.stopListening();
  }

  /** Leaves what was there before; nothing happens once the file is finished. */
  readonly abandon = (): void => {
    if (this.isDone) return;
    this.isDone = true;
    this.close();
    if (this.aside !== undefined) rmSync(this.aside, { force: true });
    this.stopListening();
  };

  /** Once no file listens any more, the program ends by that signal as it would have without them. */
  private readonly endBy = (signal: NodeJS.Signals): void => {
    this.abandon();
    process.kill(process.pid, signal);
  };

  private stopListening(): void {
    process.off('exit', this.abandon);
    for (const signal of ENDINGS) process.off(signal, this.endBy);
  }

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
