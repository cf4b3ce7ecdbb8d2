/**
 * The JSON that `design --json` prints, and what a designed plan promises under `result`.
 * A promise is read back in `ranking/parse-promise.ts`. It holds no times of day and no durations, so
 * that the same brief gives the same plan to the byte.
 */
import { formatRational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { PromisedExit } from '../ranking/promise.js';
import type { DesignOutcome, DesignProof } from '../synthesis/outcome.js';
import { reasonText, type DesignFinding } from './design-text.js';
import { perSecondNumber } from './numbers.js';
import { present, trialJson, type JsonObject } from './trial-json.js';

function lastingProof(proof: DesignProof): JsonObject {
  return present({
    bound: proof.bound,
    cost: proof.cost,
    gap: proof.gap && formatRational(proof.gap),
    space: proof.space,
    solver: proof.solver,
    rounds: proof.rounds,
    simulations: proof.simulations,
  });
}

export interface PromiseTerms {
  readonly status: DesignOutcome['status'];
  readonly proof: DesignProof;
  readonly seed: number;
  readonly cost: number;
}

/** What a plan carries under `result`: the least flows over all starts, its cost, and the proof. */
export function promiseJson(
  brief: Brief,
  exits: readonly PromisedExit[],
  { status, proof, seed, cost }: PromiseTerms,
): JsonObject {
  return {
    status,
    exits: exits.map(({ at, heading, flow, left, right }) => ({
      at: [at.x, at.y],
      heading,
      flow: formatRational(flow),
      perSecond: perSecondNumber(flow, brief.catalog.ticksPerSecond),
      left: formatRational(left),
      right: formatRational(right),
    })),
    cost,
    starts: brief.starts,
    seed,
    presence: formatRational(brief.presence),
    spotting: brief.spotting,
    proof: lastingProof(proof),
  };
}

/** `plan`: the layout found, as `writePlan` gives it. */
export function designJson({ brief, outcome, trial }: DesignFinding, plan: JsonObject | undefined): JsonObject {
  return present({
    status: outcome.status,
    plan,
    trial: trial && trialJson(trial, brief.catalog.ticksPerSecond),
    proof: { ...lastingProof(outcome.proof), seconds: outcome.proof.seconds },
    reason: outcome.status === 'infeasible' ? reasonText(outcome.reason, brief.catalog.ticksPerSecond) : undefined,
  });
}
