/**
 * The JSON that `design --json` prints, and what a designed plan promises under `result`.
 * A promise is read back in `ranking/parse-promise.ts`. It holds no times and no counts of what a run did,
 * which depend on the machine and its threads, so that the same brief gives the same plan to the byte.
 */
import { formatRational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { PromisedFlows } from '../ranking/promise.js';
import type { DesignOutcome, DesignProof } from '../synthesis/outcome.js';
import { verdictText, type DesignFinding } from './design-text.js';
import { perSecondNumber } from './numbers.js';
import { reasonText, remedyJson } from './reason-text.js';
import { trainsJson } from './train-text.js';
import { present, trialJson, type JsonObject } from './trial-json.js';

function lastingProof(proof: DesignProof): JsonObject {
  return present({
    bound: proof.bound,
    cost: proof.cost,
    gap: proof.gap && formatRational(proof.gap),
    space: proof.space,
    solver: proof.solver,
  });
}

export interface PromiseTerms {
  readonly status: DesignOutcome['status'];
  readonly proof: DesignProof;
  readonly seed: number;
  readonly cost: number;
}

/** What a plan carries under `result`: the least flows over all starts, its cost, and the proof. */
export const promiseJson = (brief: Brief, flows: PromisedFlows, { status, proof, seed, cost }: PromiseTerms): JsonObject => ({
  status,
  ...promiseFlowsJson(brief, flows, seed, cost),
  proof: lastingProof(proof),
});

/** The same of a plan that was not designed: what it gives, without a proof that it is the cheapest. */
export function promiseFlowsJson(brief: Brief, { exits, wagons, together }: PromisedFlows, seed: number, cost: number): JsonObject {
  const { ticksPerSecond } = brief.catalog;
  return present({
    exits: exits.map(({ at, heading, flow, left, right }) => ({
      at: [at.x, at.y],
      heading,
      flow: formatRational(flow),
      perSecond: perSecondNumber(flow, ticksPerSecond),
      left: formatRational(left),
      right: formatRational(right),
    })),
    wagons: wagons?.map(({ at, inflow }) => ({ at, inflow: formatRational(inflow), perSecond: perSecondNumber(inflow, ticksPerSecond) })),
    together:
      brief.together && { flow: formatRational(together), perSecond: perSecondNumber(together, ticksPerSecond) },
    cost,
    starts: brief.starts,
    seed,
    presence: formatRational(brief.presence),
    spotting: brief.spotting,
  });
}

/** What stands in place of a plan: why there is none, and what would help. */
function whyNot(brief: Brief, outcome: DesignOutcome): JsonObject {
  const { ticksPerSecond } = brief.catalog;
  switch (outcome.status) {
    case 'infeasible':
      return {
        reason: reasonText(outcome.reason, ticksPerSecond),
        conflict: outcome.reason.kind,
        remedies: outcome.reason.nearest.map((remedy) => remedyJson(remedy, brief)),
        remediesComplete: outcome.reason.looked === 'wholly',
      };
    case 'feasible':
      return { stoppedBy: outcome.stoppedBy };
    case 'unknown':
      return { reason: verdictText(outcome, brief.minimise[0], ticksPerSecond), stoppedBy: outcome.stoppedBy };
    case 'optimal':
      return {};
  }
}

/** `plan`: the layout found, as `writePlan` gives it. */
export function designJson({ brief, outcome, trial, trains }: DesignFinding, plan: JsonObject | undefined): JsonObject {
  const { rounds, simulations, seconds, resumed } = outcome.proof;
  return present({
    status: outcome.status,
    plan,
    trial: trial && present({ ...trialJson(trial, brief.catalog.ticksPerSecond), trains: trains && trainsJson(trains) }),
    proof: present({ ...lastingProof(outcome.proof), rounds, simulations, seconds: Number(seconds.toFixed(3)), resumed }),
    ...whyNot(brief, outcome),
  });
}
