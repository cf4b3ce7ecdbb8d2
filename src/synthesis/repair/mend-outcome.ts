/**
 * What a search for a repair is given, tells as it runs, and answers: `mend.ts` fills these in.
 */
import type { Heading } from '../../base/geometry.js';
import type { Layout, Part } from '../../layout/layout.js';
import type { StopCause } from '../outcome.js';
import type { Lack } from './mend-relevance.js';

/** What a repair is searched among. */
export const mendSpace = (fillsWagons: boolean): string =>
  `all legal layouts on the plan's site, beside its wagons and with its ${fillsWagons ? 'entries' : 'exits'}, built of the plan's parts as they stand or turned ` +
  'where they stand, and of any other parts of the catalog in any number, but for splitters that favour a side ' +
  `(of models that act alike, the cheapest), in which ${fillsWagons ? 'no arm takes from a wagon and ' : ''}all that is to be kept stays as it is`;

export type MendWitness =
  | { readonly verdict: 'passes' }
  /** `reached`: the share of what is asked that is there, from 0 to 1; told to whoever looks for any repair. */
  | { readonly verdict: 'fails'; readonly lack: Lack; readonly reached: number }
  | { readonly verdict: 'undecided' };

export interface MendTools {
  /** Throws `RunStopped`, as `glance` does, where it is to stop in the midst of a simulation. */
  readonly judge: (layout: Layout) => MendWitness;
  /** The same from the standard start alone, and not for long: what passes may still fail, what fails does, the rest is undecided. */
  readonly glance: (layout: Layout) => MendWitness;
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
  readonly shouldStop: () => boolean;
  /** Why it is to stop. */
  readonly stopCause: () => StopCause;
  /** A layout of the site that was designed without a thought for the plan; undefined if there is none. */
  readonly designAnew: () => Promise<Layout | undefined>;
  readonly breathe: () => Promise<void>;
  readonly onProgress: (progress: MendProgress) => void;
}

export interface MendProgress {
  readonly bound: number;
  readonly best: number | undefined;
  readonly branches: number;
  readonly simulations: number;
}

export type MendStep =
  | { readonly kind: 'remove'; readonly part: Part; readonly price: number }
  | { readonly kind: 'turn'; readonly part: Part; readonly turned: Part; readonly heading: Heading; readonly price: number }
  | { readonly kind: 'add'; readonly part: Part; readonly price: number };

export interface Mend {
  readonly layout: Layout;
  readonly steps: readonly MendStep[];
  readonly price: number;
}

export interface MendProof {
  /** No repair of the space costs less; Infinity if there is none. */
  readonly bound: number;
  readonly space: string;
  readonly branches: number;
  readonly simulations: number;
  readonly seconds: number;
}

export type MendOutcome =
  | { readonly status: 'optimal'; readonly mend: Mend; readonly proof: MendProof }
  | { readonly status: 'feasible'; readonly mend: Mend; readonly stoppedBy: StopCause; readonly proof: MendProof }
  | { readonly status: 'infeasible'; readonly proof: MendProof }
  | { readonly status: 'unknown'; readonly stoppedBy: StopCause; readonly proof: MendProof };
