/**
 * The options that every command takes, as text and as checked data.
 */
import type { Argv } from 'yargs';
import { SOLVER_NAMES } from '../index.js';
import { secondsOption } from './time-options.js';
import { fileOption, usage, wholeOption } from './usage.js';

type CommandName = 'design' | 'tradeoffs' | 'trial' | 'why' | 'mend' | 'visit' | 'station' | 'draw' | 'rates' | 'fit' | 'replay';

export interface CommonOptions {
  readonly json: boolean;
  readonly out: string | undefined;
  readonly quiet: boolean;
  readonly ascii: boolean;
  readonly seed: number | undefined;
  readonly timeLimitSeconds: number | undefined;
  readonly solver: string | undefined;
  /** Of options that this command has no use for. */
  readonly warnings: readonly string[];
}

/** Options that every command takes, though only some have a use for them; the others say so, and their help leaves them out. */
const USED_BY = {
  seed: ['design', 'tradeoffs', 'trial', 'why', 'mend', 'visit', 'station', 'draw', 'replay'],
  'time-limit': ['design', 'tradeoffs', 'why', 'mend', 'station', 'replay'],
  solver: ['design', 'tradeoffs', 'station'],
} as const satisfies Readonly<Record<string, readonly CommandName[]>>;

const isUsed = (option: keyof typeof USED_BY, name: CommandName): boolean => USED_BY[option].some((each) => each === name);

const OUT_TAKES: Partial<Readonly<Record<CommandName, string>>> = {
  design: 'Write the plan to this file',
  mend: 'Write the mended plan to this file',
  tradeoffs: 'Write to this file what would be printed; with --pick: the plan',
  fit: 'Write the catalog to this file',
};

export const commonOptions = <T>(argv: Argv<T>, name: CommandName) =>
  argv
    .option('json', { type: 'boolean', default: false, describe: 'Print one JSON document and nothing else' })
    .option('out', { type: 'string', requiresArg: true, describe: OUT_TAKES[name] ?? 'Write to this file what would be printed' })
    .option('quiet', { type: 'boolean', default: false, describe: 'No progress, no warnings; print the verdict alone' })
    .option('ascii', { type: 'boolean', default: false, describe: 'Print ASCII signs only' })
    .option('seed', { type: 'string', requiresArg: true, hidden: !isUsed('seed', name), describe: 'Whole number that staggered starts are drawn from' })
    .option('time-limit', { type: 'string', requiresArg: true, hidden: !isUsed('time-limit', name), describe: 'Stop after about so many seconds, such as 60 or 60s, with what it has' })
    .option('solver', { type: 'string', requiresArg: true, hidden: !isUsed('solver', name), describe: `Solver of integer programs: ${SOLVER_NAMES.join(', ')}` });

interface RawOptions {
  readonly json: boolean;
  readonly out: string | undefined;
  readonly quiet: boolean;
  readonly ascii: boolean;
  readonly seed: string | undefined;
  readonly 'time-limit': string | undefined;
  readonly solver: string | undefined;
}

export function readCommonOptions(raw: RawOptions, name: CommandName): CommonOptions {
  if (raw.solver !== undefined && !SOLVER_NAMES.includes(raw.solver)) {
    throw usage(`There is no solver “${raw.solver}”; there are: ${SOLVER_NAMES.join(', ')}.`);
  }
  const unused = (['seed', 'time-limit', 'solver'] as const).filter((option) => raw[option] !== undefined && !isUsed(option, name));
  return {
    json: raw.json,
    out: fileOption('out', raw.out),
    quiet: raw.quiet,
    ascii: raw.ascii,
    seed: wholeOption('seed', raw.seed, 0),
    timeLimitSeconds: secondsOption('time-limit', raw['time-limit']),
    solver: raw.solver,
    warnings: unused.map((option) => `transloom: warning: “${name}” has no use for --${option}; leave it out.`),
  };
}
