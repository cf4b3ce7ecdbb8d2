/**
 * What tests of repairs share: shipped plans, their repair, and what is to be there of an answer.
 */
import type { Layout } from '../../src/layout/layout.js';
import type { Mend } from '../../src/synthesis/repair/mend-outcome.js';
import { mendStation, type MendAnswer, type MendRequest } from '../../src/tasks/mend-station.js';
import type { MendTerms } from '../../src/tasks/mend-terms.js';
import { planOf } from '../documents.js';

export type MendIt = (layout: Layout, terms: MendTerms, more?: Partial<MendRequest>) => Promise<MendAnswer>;

export const mendsFrom =
  ({ starts, seed }: { readonly starts: number; readonly seed: number }): MendIt =>
  (layout, terms, more = {}) =>
    mendStation(layout, { terms, starts, seed, timeLimitSeconds: 10, now: () => performance.now(), ...more });

export function repairOf({ outcome }: MendAnswer): Mend {
  if (outcome.status !== 'optimal' && outcome.status !== 'feasible') throw new Error(outcome.status);
  return outcome.mend;
}

export const shippedPlan = (name: string): Layout => planOf(`models/plans/${name}.json`);
