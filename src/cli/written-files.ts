/**
 * The files that a command is to write, looked at before it begins: none of them twice, none over what it reads, none with
 * a name that promises something else (`file-endings.ts`), and each in a place that takes it, since a long search would be
 * lost otherwise. They are written by way of `growing-file.ts`.
 */
import { realpathSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Command } from './arguments.js';
import { namedCatalogFile } from './documents.js';
import { checkEnding } from './file-endings.js';
import { isPictureFile, STDIN } from './files.js';
import { tryWriting } from './growing-file.js';
import { usage } from './usage.js';

interface Written {
  readonly option: string;
  readonly path: string;
  /** What is read and may be written over, since it is replaced by its like: a plan by a plan. */
  readonly over?: string | undefined;
}

interface NamedFiles {
  readonly read: readonly string[];
  readonly written: readonly Written[];
}

/** Options that name no file are left out. */
const given = (files: readonly (Omit<Written, 'path'> & { readonly path: string | undefined })[]): readonly Written[] =>
  files.flatMap(({ path, ...file }) => (path === undefined ? [] : [{ ...file, path }]));

function ownFiles(command: Command): NamedFiles {
  switch (command.name) {
    case 'design': {
      const { brief, resumeFile, programFile, saveFile, logFile } = command;
      return {
        read: [brief, resumeFile].filter((path) => path !== undefined),
        written: given([
          { option: 'export-program', path: programFile },
          { option: 'save', path: saveFile, over: resumeFile },
          { option: 'audit', path: logFile },
        ]),
      };
    }
    case 'tradeoffs': {
      const { csvFile, htmlFile } = command.choice;
      return { read: [command.brief], written: given([{ option: 'csv', path: csvFile }, { option: 'html', path: htmlFile }]) };
    }
    case 'draw': {
      const { plan, svgFile, htmlFile, textFile, planFile } = command;
      return {
        read: [plan],
        written: given([
          { option: 'svg', path: svgFile },
          { option: 'html', path: htmlFile },
          { option: 'text', path: textFile, over: plan },
          { option: 'plan-json', path: planFile, over: plan },
        ]),
      };
    }
    case 'why':
      return { read: [command.plan], written: given([{ option: 'best', path: command.choice.bestFile, over: command.plan }]) };
    case 'mend': {
      const { briefFile, svgFile, htmlFile } = command.choice;
      return {
        read: [command.plan, briefFile].filter((path) => path !== undefined),
        written: given([{ option: 'svg', path: svgFile }, { option: 'html', path: htmlFile }]),
      };
    }
    case 'visit': {
      const { svgFile, htmlFile } = command.choice;
      return { read: [command.plan], written: given([{ option: 'svg', path: svgFile }, { option: 'html', path: htmlFile }]) };
    }
    case 'trial':
      return { read: [command.plan], written: [] };
    case 'station':
      return { read: [command.file], written: [] };
    case 'rates':
      return { read: [command.catalog], written: [] };
    case 'fit':
      return { read: [command.measurements], written: [] };
    case 'replay':
      return { read: [command.log], written: [] };
  }
}

/** What of all that is read `--out` may be written over. */
function overOut(command: Command): string | undefined {
  if (command.name === 'mend') return command.plan;
  return command.name === 'draw' && command.options.out !== undefined && isPictureFile(command.options.out) ? command.plan : undefined;
}

/** One text for all names of a file; undefined for devices and pipes, which take what comes from everywhere. */
function identityOf(path: string): string | undefined {
  const known = statSync(path, { throwIfNoEntry: false });
  if (known === undefined) return resolve(path);
  return known.isFile() ? realpathSync(path) : undefined;
}

/** Undefined, too, where the path can't even be looked up: to write there says why. */
function sameFile(path: string): string | undefined {
  try {
    return identityOf(path);
  } catch {
    return undefined;
  }
}

/**
 * What is read and must not be written over: the files named, and the catalogs that these name. To find a catalog its document
 * has to be read, so only where a file that is there would be written over; a log has its catalog inside, and no pipe is read ahead.
 */
function filesRead(command: Command, inputs: readonly string[], written: readonly Written[]): readonly string[] {
  if (command.name === 'replay' || !written.some(({ path }) => statSync(path, { throwIfNoEntry: false })?.isFile() === true)) return inputs;
  const documents = inputs.filter((path) => path === STDIN || sameFile(path) !== undefined);
  return [...inputs, ...documents.flatMap((path) => namedCatalogFile(path) ?? [])];
}

/** Throws an `InputError` at the first file that can't be written or must not be. */
export function checkFiles(command: Command): void {
  const { read, written } = ownFiles(command);
  const out = given([{ option: 'out', path: command.options.out, over: overOut(command) }]);
  if (read.filter((path) => path === STDIN).length > 1) throw usage('The standard input can be read only once; name a file for one of those that are “-”.');
  const unnamed = [...out, ...written].find(({ path }) => path === STDIN);
  if (unnamed !== undefined) throw usage(`--${unnamed.option} takes the name of a file, and “-” is none; the standard output is /dev/stdout.`);
  const inputs = filesRead(command, read, [...out, ...written]).filter((path) => path !== STDIN);
  const optionOf = new Map<string, string>();
  for (const { option, path, over } of [...out, ...written]) {
    const file = sameFile(path);
    if (file === undefined) continue;
    if (inputs.some((input) => input !== over && sameFile(input) === file)) {
      throw usage(`--${option} would write over ${path}, which is read; name another file.`);
    }
    const before = optionOf.get(file);
    if (before !== undefined) throw usage(`--${before} and --${option} name the same file, ${path}; give each its own.`);
    optionOf.set(file, option);
  }
  for (const { option, path } of [...out, ...written]) checkEnding(option, path);
  for (const { path } of [...out, ...written]) tryWriting(path);
}
