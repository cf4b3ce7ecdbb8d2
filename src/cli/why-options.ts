/**
 * The options of `why`, as text and as checked data.
 */
import type { Argv } from 'yargs';
import { askedFlow, type AskedFlow } from './target-option.js';
import { fileOption, startsOption } from './usage.js';

export interface WhyChoice {
  readonly starts: number | undefined;
  /** What each exit is held against. */
  readonly target: 'promise' | AskedFlow | undefined;
  /** Where the plan with the best change goes. */
  readonly bestFile: string | undefined;
}

export const whyOptions = <T>(argv: Argv<T>) =>
  argv
    .option('starts', { type: 'string', requiresArg: true, describe: 'Staggered starts besides the standard one' })
    .option('target', { type: 'string', requiresArg: true, describe: 'Hold each exit against a share of its belt (0.85), a rate (20/s) or the promise; left out: all that its belt carries' })
    .option('best', { type: 'string', requiresArg: true, describe: 'Write the plan with the best change to this file, as JSON or (.plan.txt) as a picture' });

/** The options as they were given: texts, which go from thread to thread. */
export interface GivenWhy {
  readonly starts: string | undefined;
  readonly target: string | undefined;
  readonly best: string | undefined;
}

/** Of all that was given, what is this command's own. */
export const givenWhy = ({ starts, target, best }: GivenWhy): GivenWhy => ({ starts, target, best });

export function readWhyOptions(raw: GivenWhy): WhyChoice {
  const target = raw.target === undefined || raw.target === 'promise' ? raw.target : askedFlow(raw.target, ', or “promise”');
  return { starts: startsOption(raw.starts), target, bestFile: fileOption('best', raw.best) };
}
