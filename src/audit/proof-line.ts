/**
 * A proof log as data: the shape of its lines, which is that of `models/schemas/proof-line.schema.json`. Lines are
 * written in `write-log.ts`, read and checked in `read-line.ts`; what they prove is judged in `replay.ts`.
 */
import type { Heading } from '../base/geometry.js';
import type { Bill } from '../synthesis/site/bill.js';
import type { ProofStep } from '../synthesis/proof-step.js';
import type { Repeats } from './steady-flow.js';

export const PROOF_FORMAT = 'transloom-proof/1';

interface PlacedEdge {
  readonly at: readonly [number, number];
  readonly heading: Heading;
  readonly demand: number;
}

/** Of a layout: its parts as in a plan, and which of the brief's exits, or entries, each of its own serves. */
interface PlacedLine {
  readonly parts: readonly object[];
  readonly exits: readonly PlacedEdge[];
  readonly entries?: readonly PlacedEdge[] | undefined;
}

interface StartLine {
  /** Tiles along x by which the wagons stood further than planned. */
  readonly wagonsMoved: number;
  /** Ticks by which each arm was held back, in the order of (y, x). */
  readonly delays: readonly number[];
  readonly repeats?: Repeats | undefined;
}

/**
 * What falls short from a start: an exit or an entry (by its place in the line), a wagon, the sum of all exits, or of
 * what wagons get, or a chest.
 */
export interface FailingLine extends StartLine {
  readonly kind: 'exit' | 'sum' | 'chest' | 'entry' | 'wagon';
  readonly exit?: number | undefined;
  readonly entry?: number | undefined;
  readonly wagon?: number | undefined;
  readonly chest?: readonly [number, number] | undefined;
}

/** Items per tick by which a search for loading stations bounds an arm: what it takes from carriers, what it carries from chests. */
export interface ArmBoundLine {
  readonly model: string;
  readonly takes: string;
  readonly carries: string;
}

export type ProofLine =
  | { readonly step: 'opened'; readonly format: string; readonly solver?: string | undefined; readonly seed: number; readonly brief: object; readonly armBounds?: readonly ArmBoundLine[] | undefined }
  | { readonly step: 'began'; readonly price: 'cost' | 'parts' }
  | {
      readonly step: 'proposed';
      readonly mostPrice: number;
      readonly answer?: { readonly bill: Bill; readonly fixed: number; readonly objective: number } | undefined;
    }
  /** `to` left out: nothing is left of the family. */
  | { readonly step: 'raised'; readonly family: number; readonly from: number; readonly to?: number | undefined }
  | (PlacedLine & {
      readonly step: 'judged';
      readonly verdict: Extract<ProofStep, { readonly kind: 'judged' }>['verdict'];
      readonly signature: string;
      readonly stub: boolean;
      readonly failing?: FailingLine | undefined;
    })
  | (PlacedLine & { readonly step: 'found'; readonly price: number })
  | (StartLine & { readonly step: 'start'; readonly start: number })
  | {
      readonly step: 'claimed';
      readonly status: Extract<ProofStep, { readonly kind: 'claimed' }>['status'];
      readonly bound?: number | undefined;
      readonly steps: Readonly<Record<string, number>>;
    };

export type StepName = ProofLine['step'];
export type LineOf<Step extends StepName> = Extract<ProofLine, { readonly step: Step }>;
