/**
 * What a design run did, step by step, as data: enough for somebody else to go over its claim again. The
 * run hands each step out as it is taken; who writes or checks a log of them is `audit/`.
 */
import type { Layout } from '../layout/layout.js';
import type { Bill } from './site/bill.js';

/** `stub`: a last stretch stands as a single belt that leaves where it stands, not yet on the site's edge. */
export type ProofStep =
  /** A run of its own begins: what its prices add up, and families are counted anew. Left out where there is but one. */
  | { readonly kind: 'began'; readonly price: 'cost' | 'parts' }
  /** The program's answer, with the bills of all earlier `proposed` steps cut off and prices up to `mostPrice`. */
  | {
      readonly kind: 'proposed';
      readonly mostPrice: number;
      /** Undefined: no bill is left at these prices. */
      readonly answer: { readonly bill: Bill; readonly fixed: number; readonly objective: number } | undefined;
    }
  /** All layouts of a family (index into the proposals that had an answer) cost at least `price`, but for those found. */
  | { readonly kind: 'raised'; readonly family: number; readonly from: number; readonly price: number }
  /** The simulator's word on a network and everything of the same signature. */
  | {
      readonly kind: 'judged';
      readonly signature: string;
      /** Indices into the brief's exits of the layout's exits, in their order. */
      readonly exits: readonly number[];
      readonly stub: boolean;
      /** The very object that the verifier was handed: who made that one finds its reasons by it. */
      readonly layout: Layout;
      readonly verdict: 'passes' | 'fails' | 'undecided';
    }
  | { readonly kind: 'found'; readonly price: number; readonly layout: Layout }
  /** Where the run ended: nothing of the space is cheaper than `bound`. */
  | { readonly kind: 'claimed'; readonly status: 'optimal' | 'feasible' | 'infeasible' | 'unknown'; readonly bound: number | undefined };
