/**
 * The JSON that `mend --json` prints. The words are those of `mend-text.ts`.
 */
import type { Tile } from '../base/geometry.js';
import { formatRational, type Rational } from '../base/rational.js';
import { tilesOf, underpassHeading, type Part } from '../layout/layout.js';
import type { MendStep } from '../synthesis/repair/mend-outcome.js';
import { mendVerdict, stepWords, type MendFinding } from './mend-text.js';
import { perSecondNumber } from './numbers.js';
import { present, type JsonObject } from './trial-json.js';

const tile = ({ x, y }: Tile): readonly number[] => [x, y];

/** As in a plan. */
function partJson(part: Part): JsonObject {
  const { kind, model } = part;
  const [at, other] = tilesOf(part);
  if (part.kind === 'underpass') return { kind, from: tile(at), to: tile(other), heading: underpassHeading(part), model: model.name };
  return part.kind === 'chest' ? { kind, at: tile(at), model: model.name } : { kind, at: tile(at), heading: part.heading, model: model.name };
}

const stepJson = (step: MendStep): JsonObject => ({
  kind: step.kind,
  part: partJson(step.part),
  ...(step.kind === 'turn' ? { becomes: partJson(step.turned) } : {}),
  price: step.price,
  words: stepWords(step),
});

/** `plan`: the mended one, as `writePlan` gives it. */
export function mendJson({ layout, brief, outcome, before, after }: MendFinding, plan: JsonObject | undefined): JsonObject {
  const { ticksPerSecond } = layout.catalog;
  const flow = (value: Rational): JsonObject => ({ flow: formatRational(value), perSecond: perSecondNumber(value, ticksPerSecond) });
  const { bound, space, branches, simulations, seconds } = outcome.proof;
  const found = outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.mend : undefined;
  return present({
    status: outcome.status,
    price: found?.price,
    steps: found?.steps.map(stepJson),
    exits: brief.exits.map(({ target }, exit) =>
      present({
        at: tile(layout.exits[exit].at),
        heading: layout.exits[exit].heading,
        asked: flow(target.total),
        before: flow(before.exits[exit].flow),
        after: after && flow(after.exits[exit].flow),
      }),
    ),
    feed: brief.feed,
    plan,
    proof: present({ bound: Number.isFinite(bound) ? bound : undefined, price: found?.price, space, branches, simulations, seconds: Number(seconds.toFixed(3)) }),
    stoppedBy: outcome.status === 'feasible' || outcome.status === 'unknown' ? outcome.stoppedBy : undefined,
    reason: found === undefined ? mendVerdict(outcome) : undefined,
  });
}
