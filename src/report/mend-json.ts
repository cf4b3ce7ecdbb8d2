/**
 * The JSON that `mend --json` prints. The words are those of `mend-text.ts`.
 */
import type { Tile } from '../base/geometry.js';
import { formatRational, type Rational } from '../base/rational.js';
import { entriesOf, tilesOf, underpassHeading, type Part } from '../layout/layout.js';
import type { MendStep } from '../synthesis/repair/mend-outcome.js';
import { loadingRows, mendVerdict, overfullSentence, stepWords, type LoadingRow, type MendFinding } from './mend-text.js';
import { perSecondNumber } from './numbers.js';
import { present, type JsonObject } from './trial-json.js';

const tile = ({ x, y }: Tile): readonly number[] => [x, y];

/** As in a plan; of an underpass its heading, too. */
function partJson(part: Part): JsonObject {
  const { kind, model } = part;
  const [at, other] = tilesOf(part);
  switch (part.kind) {
    case 'underpass':
      return { kind, from: tile(at), to: tile(other), heading: underpassHeading(part), model: model.name };
    case 'splitter':
      return present({ kind, at: tile(at), heading: part.heading, model: model.name, favourIn: part.favourIn, favourOut: part.favourOut });
    case 'belt':
    case 'arm':
      return { kind, at: tile(at), heading: part.heading, model: model.name };
    case 'chest':
      return { kind, at: tile(at), model: model.name };
  }
}

const stepJson = (step: MendStep): JsonObject => ({
  kind: step.kind,
  part: partJson(step.part),
  ...(step.kind === 'turn' ? { becomes: partJson(step.turned) } : {}),
  price: step.price,
  words: stepWords(step),
});

function overfullJson(finding: MendFinding): JsonObject | undefined {
  const { overfull, layout } = finding;
  if (overfull === undefined) return undefined;
  const { chest, arms, inflow, carryOff, offset } = overfull;
  const flow = (value: Rational): JsonObject => ({ flow: formatRational(value), perSecond: perSecondNumber(value, layout.catalog.ticksPerSecond) });
  return present({ at: tile(chest), arms: arms.map(tile), inflow: flow(inflow), carryOff: flow(carryOff), offset: offset === 0 ? undefined : offset, words: overfullSentence(finding) });
}

/** `plan`: the mended one, as `writePlan` gives it. */
export function mendJson(finding: MendFinding, plan: JsonObject | undefined): JsonObject {
  const { layout, brief, askedLoaded, outcome, before, after } = finding;
  const { ticksPerSecond } = layout.catalog;
  const flow = (value: Rational): JsonObject => ({ flow: formatRational(value), perSecond: perSecondNumber(value, ticksPerSecond) });
  const { bound, space, branches, simulations, seconds } = outcome.proof;
  const exits = (): readonly JsonObject[] =>
    brief.exits.map(({ target }, exit) =>
      present({
        at: tile(layout.exits[exit].at),
        heading: layout.exits[exit].heading,
        asked: flow(target.total),
        before: before && flow(before.exits[exit].flow),
        after: after && flow(after.exits[exit].flow),
      }),
    );
  const loadingJson = (): JsonObject => {
    if (brief.load === undefined || askedLoaded === undefined) return {};
    const flows = ({ asked, before: was, after: is }: LoadingRow): JsonObject => present({ asked: flow(asked), before: was && flow(was), after: is && flow(is) });
    const rows = loadingRows(finding, brief.load, askedLoaded);
    const [entries, wagons] = [entriesOf(layout), layout.wagons];
    return present({
      entries: entries.map(({ at, heading }, entry) => ({ at: tile(at), heading, ...flows(rows[entry]) })),
      wagons: wagons.map(({ at }, wagon) => ({ at, ...flows(rows[entries.length + wagon]) })),
      together: rows.length > entries.length + wagons.length ? flows(rows[rows.length - 1]) : undefined,
    });
  };
  const found = outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.mend : undefined;
  return present({
    status: outcome.status,
    price: found?.price,
    steps: found?.steps.map(stepJson),
    ...loadingJson(),
    exits: brief.load === undefined ? exits() : undefined,
    overfull: overfullJson(finding),
    feed: brief.feed,
    plan,
    proof: present({ bound: Number.isFinite(bound) ? bound : undefined, price: found?.price, space, branches, simulations, seconds: Number(seconds.toFixed(3)) }),
    stoppedBy: outcome.status === 'feasible' || outcome.status === 'unknown' ? outcome.stoppedBy : undefined,
    reason: found === undefined ? mendVerdict(outcome) : undefined,
  });
}
