/**
 * The colours of the terminal: each thing that a report shows has a named ink, and an `Inks` turns
 * text into coloured text, or leaves it as it is. Whether colour is wanted is for `cli/` to decide.
 */
import { Chalk, type ChalkInstance } from 'chalk';

export type InkName =
  | 'plain'
  | 'title'
  | 'dim'
  | 'ground'
  | 'belt1'
  | 'belt2'
  | 'belt3'
  | 'arm'
  | 'chest'
  | 'wagon'
  | 'exit'
  | 'entry'
  | 'moving'
  | 'blocked'
  | 'starved'
  | 'good'
  | 'bad'
  | 'warn';

export type Inks = (name: InkName, text: string) => string;

export const plainInks: Inks = (_name, text) => text;

/** Level 0 to 3 as chalk counts: none, 16 colours, 256, all. */
export function terminalInks(level: 0 | 1 | 2 | 3): Inks {
  if (level === 0) return plainInks;
  const chalk = new Chalk({ level });
  const pens: Readonly<Record<InkName, ChalkInstance | undefined>> = {
    plain: undefined,
    title: chalk.bold,
    dim: chalk.dim,
    ground: chalk.dim,
    belt1: chalk.hex('#7f9aa8'),
    belt2: chalk.hex('#3fb5a3'),
    belt3: chalk.hex('#c08be0'),
    arm: chalk.bold.hex('#6f9bff'),
    chest: chalk.hex('#b98a5e'),
    wagon: chalk.hex('#8d93a1'),
    exit: chalk.bold.hex('#86c65a'),
    entry: chalk.bold.hex('#d8a657'),
    moving: chalk.hex('#6f9bff'),
    blocked: chalk.hex('#e0705a'),
    starved: chalk.hex('#7d7f8c'),
    good: chalk.hex('#86c65a'),
    bad: chalk.bold.hex('#e0705a'),
    warn: chalk.hex('#d8a657'),
  };
  return (name, text) => pens[name]?.(text) ?? text;
}
