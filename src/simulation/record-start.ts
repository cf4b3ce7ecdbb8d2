/**
 * What somebody needs to see a start of a layout again: how long each arm is held back, and when the state came back.
 * The starts themselves are in `starts.ts`.
 */
import type { Layout } from '../layout/layout.js';
import { compileLayout } from './compile.js';
import { startDelays, Starts, type StartOptions } from './starts.js';

interface StartRecord {
  /** Ticks by which each arm is held back, in the order of (y, x). */
  readonly delays: readonly number[];
  /** After so many ticks every piece is in a state that comes back; in each piece after some of these ticks. */
  readonly repeats: { readonly after: number; readonly every: readonly number[] };
}

/** Starts may be asked for in any order. */
export function startRecorder(layout: Layout, options: StartOptions): (start: number) => StartRecord {
  const program = compileLayout(layout);
  const starts = new Starts(program, options);
  return (start) => {
    const settled = starts.settle(start).filter(({ orbit }) => orbit.exact);
    const every = [...new Set(settled.map(({ orbit }) => orbit.periodTicks))].sort((a, b) => a - b);
    const after = Math.max(0, ...settled.map(({ transientTicks }) => transientTicks));
    return { delays: startDelays(program, options.seed, start), repeats: { after, every } };
  };
}
