/**
 * The options of `mend`, as text and as checked data.
 */
import type { Argv } from 'yargs';
import type { Kept } from '../index.js';
import { askedFlow, type AskedFlow } from './target-option.js';
import { fileOption, startsOption, usage } from './usage.js';

/** What one exit or entry is to give. */
interface NamedTarget {
  /** As it is called on the command line: a letter or a number. */
  readonly name: string;
  /** Of the exits, the one that is called so, from 0 on; an entry is called by its number, from 1 on. */
  readonly exit: number;
  readonly asked: AskedFlow;
}

export interface MendChoice {
  readonly starts: number | undefined;
  /** What every exit, or entry, is to give, or some of them; undefined: what the plan promises, else all that belts carry. */
  readonly target: AskedFlow | readonly NamedTarget[] | undefined;
  readonly briefFile: string | undefined;
  /** Where pictures of before and after go. */
  readonly svgFile: string | undefined;
  readonly htmlFile: string | undefined;
  readonly keep: Kept;
}

export const mendOptions = <T>(argv: Argv<T>) =>
  argv
    .option('target', { type: 'string', requiresArg: true, describe: 'What every exit is to give, or is to get into wagons from every entry: a share of its belt (0.85), or a rate (20/s); or one by one, such as A:0.85,B:20/s, entries 1:0.85; left out: what the plan promises, else all that its belts carry' })
    .option('brief', { type: 'string', requiresArg: true, describe: 'Mend it so that it meets this brief' })
    .option('keep', { type: 'string', requiresArg: true, describe: 'What may not change: the part at X,Y, or the rectangle X,Y,WIDTH,HEIGHT; may be given again' })
    .option('svg', { type: 'string', requiresArg: true, describe: 'Also write before and after as a picture to this SVG file' })
    .option('html', { type: 'string', requiresArg: true, describe: 'Also write before and after, steps and flows as a page to this file' })
    .option('starts', { type: 'string', requiresArg: true, describe: 'Staggered starts besides the standard one' });

const LETTERS = 26;

/** "A" or "0": the first exit. */
function exitNumber(text: string): number {
  if (/^\d{1,4}$/.test(text)) return Number(text);
  const letters = text.toUpperCase();
  if (!/^[A-Z]{1,2}$/.test(letters)) throw usage(`--target names an exit by its letter or number, such as A:0.85 or 0:0.85, not “${text}”.`);
  return [...letters].reduce((sum, letter) => sum * LETTERS + letter.charCodeAt(0) - 'A'.charCodeAt(0) + 1, 0) - 1;
}

function readTarget(text: string | undefined): MendChoice['target'] {
  if (text === undefined) return undefined;
  if (!text.includes(':')) return askedFlow(text);
  const targets: NamedTarget[] = [];
  for (const entry of text.split(',')) {
    const at = entry.indexOf(':');
    if (at < 0) throw usage(`--target needs one target for all, or one for each, such as A:0.85,B:20/s; “${entry}” names no exit.`);
    const name = entry.slice(0, at).trim();
    const exit = exitNumber(name);
    if (targets.some((other) => other.exit === exit)) throw usage(`--target names “${name}” twice; name it once.`);
    targets.push({ name, exit, asked: askedFlow(entry.slice(at + 1).trim()) });
  }
  return targets;
}

/** What stands between the values of a `--keep` that was given again. */
export const KEEP_SEPARATOR = ';';

function readKeep(text: string | undefined): Kept {
  const entries = (text ?? '').split(KEEP_SEPARATOR).filter((entry) => entry.trim() !== '');
  const lists = entries.map((entry) => {
    const numbers = entry.split(',').map((number) => (/^\s*-?\d{1,4}\s*$/.test(number) ? Number(number) : Number.NaN));
    if (numbers.some(Number.isNaN) || (numbers.length !== 2 && numbers.length !== 4) || numbers.slice(2).some((length) => length < 1)) {
      throw usage(`--keep needs a tile X,Y or a rectangle X,Y,WIDTH,HEIGHT in whole tiles, not “${entry}”.`);
    }
    return numbers;
  });
  return {
    boxes: lists.filter(({ length }) => length === 4).map(([x, y, width, height]) => ({ x, y, width, height })),
    tiles: lists.filter(({ length }) => length === 2).map(([x, y]) => ({ x, y })),
  };
}

/** The options as they were given: texts, which go from thread to thread. */
export interface GivenMend {
  readonly target: string | undefined;
  readonly brief: string | undefined;
  readonly keep: string | undefined;
  readonly starts: string | undefined;
  readonly svg: string | undefined;
  readonly html: string | undefined;
}

/** Of all that was given, what is this command's own. */
export const givenMend = ({ target, brief, keep, starts, svg, html }: GivenMend): GivenMend => ({ target, brief, keep, starts, svg, html });

export function readMendOptions(raw: GivenMend): MendChoice {
  if (raw.brief !== undefined && raw.target !== undefined) throw usage('--target does not go with --brief, which has targets of its own.');
  return {
    starts: startsOption(raw.starts),
    target: readTarget(raw.target),
    briefFile: fileOption('brief', raw.brief),
    svgFile: fileOption('svg', raw.svg),
    htmlFile: fileOption('html', raw.html),
    keep: readKeep(raw.keep),
  };
}
