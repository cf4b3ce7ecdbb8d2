/**
 * What one line of a proof log says of flows, rechecked by the reference simulator: that a network falls short, that one
 * passes, that the plan meets the brief from a start and keeps to limits on imbalance and trains. Which lines, and when, is
 * for `replay.ts` to say.
 */
import { sameTile } from '../base/geometry.js';
import { jainImbalance } from '../base/jain.js';
import { formatRational, isLess, minRational, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import { placeTile, type Layout } from '../layout/layout.js';
import { withWagonsMoved } from '../layout/spotting.js';
import type { FlawKind } from './audit-result.js';
import { fillingImbalance, fillingPace, intoAllWagons } from './loading-shortfall.js';
import { armsOf } from './networks.js';
import type { FailingLine, LineOf } from './proof-line.js';
import type { PlacedLayout } from './read-line.js';
import { measure, type Shortfall } from './shortfall.js';
import { chestBalances, flowsFrom, trainPace, type Flows, type Patience } from './steady-flow.js';
import type { ClaimedPlan } from './survey.js';

/** What is wrong with a line, nothing in the best case; or that its flows came to no end in time. */
export type Outcome = readonly FlawKind[] | 'unfinished';

const delaysFlaw = (layout: Layout, delays: readonly number[]): readonly FlawKind[] => {
  const expected = armsOf(layout).length;
  return delays.length === expected ? [] : [{ kind: 'delays-count', expected, found: delays.length }];
};

/** Whether a shortfall is what the line names. A chest counts only where some arm of the layout fills it. */
function isNamed(shortfall: Shortfall, { kind, exit, chest, entry, wagon }: FailingLine, layout: Layout): boolean {
  switch (shortfall.kind) {
    case 'exit':
      return kind === 'exit' && (exit ?? shortfall.exit) === shortfall.exit;
    case 'sum':
    case 'wagons':
      return kind === 'sum';
    case 'entry':
      return kind === 'entry' && shortfall.entry === entry;
    case 'wagon':
      return kind === 'wagon' && shortfall.wagon === wagon;
    case 'overfull':
      return kind === 'chest' && (chest === undefined || sameTile(shortfall.at, { x: chest[0], y: chest[1] }));
    case 'chest': {
      const { at } = shortfall;
      const isThere = chest === undefined || sameTile(at, { x: chest[0], y: chest[1] });
      return kind === 'chest' && isThere && armsOf(layout).some((arm) => sameTile(placeTile(arm), at));
    }
  }
}

/** A network that was ruled out falls short of what its line names. Where that is missing, little can be shown. */
export function recheckFailing({ failing }: LineOf<'judged'>, { layout, demands }: PlacedLayout, brief: Brief, patience: Patience): Outcome {
  if (failing === undefined) return 'unfinished';
  const { kind, delays, wagonsMoved, exit } = failing;
  const flaws = delaysFlaw(layout, delays);
  if (flaws.length > 0) return flaws;
  if (Math.abs(wagonsMoved) > brief.spotting) return [{ kind: 'start-unexpected' }];
  const stands = withWagonsMoved(layout, wagonsMoved);
  const only = kind === 'exit' ? exit : undefined;
  const flows = flowsFrom(stands, failing, patience, ({ exits }) => only === undefined || exits.includes(only));
  const { shortfalls, incomplete } = measure(stands, flows, brief, demands);
  if (shortfalls.some((shortfall) => isNamed(shortfall, failing, layout))) return [];
  // Networks that were left out are not known either, and do not matter.
  const isOpen = only === undefined ? incomplete : only < flows.exits.length && flows.exits[only] === undefined;
  return isOpen ? 'unfinished' : [{ kind: 'not-short' }];
}

/**
 * Sums are for whole stations, and chests may be filled by arms that are no part of the network; what fills wagons was
 * judged as a whole.
 */
export function recheckPassing({ layout, demands }: PlacedLayout, brief: Brief, patience: Patience): Outcome {
  const flows = flowsFrom(layout, { delays: [] }, patience);
  const { shortfalls, incomplete } = measure(layout, flows, brief, demands);
  if (brief.load !== undefined) return incomplete ? 'unfinished' : shortfalls.map((shortfall) => ({ kind: 'short', shortfall }));
  const shortfall = shortfalls.find(({ kind }) => kind === 'exit');
  if (shortfall !== undefined) return [{ kind: 'short', shortfall }];
  return flows.exits.includes(undefined) ? 'unfinished' : [];
}

/** A start from which the plan is said to meet the brief: it does, and what its flows mean for limits goes to `limits`. */
export function recheckStart(
  line: LineOf<'start'>,
  { layout, demands }: ClaimedPlan,
  brief: Brief,
  patience: Patience,
  limits: FlowLimits,
): Outcome {
  const flaws = delaysFlaw(layout, line.delays);
  if (flaws.length > 0) return flaws;
  const stands = withWagonsMoved(layout, line.wagonsMoved);
  const flows = flowsFrom(stands, line, patience);
  const { shortfalls, incomplete } = measure(stands, flows, brief, demands);
  if (shortfalls.length > 0) return shortfalls.map((shortfall) => ({ kind: 'short', shortfall }));
  if (incomplete) return 'unfinished';
  limits.take(line, stands, demands, flows);
  return brief.load === undefined ? [] : unevenlyFilled(fillingImbalance(stands, flows), brief);
}

type LimitFlaw = Extract<FlawKind, { readonly kind: 'plan-limit' }>;

/** Where wagons are filled, every start has to keep to the limit. */
const unevenlyFilled = (found: Rational, { limits: { imbalance } }: Brief): readonly LimitFlaw[] =>
  imbalance !== undefined && isLess(imbalance, found)
    ? [{ kind: 'plan-limit', limit: 'imbalance', most: formatRational(imbalance), found: formatRational(found) }]
    : [];

/**
 * What counts against limits on imbalance and trains are the flows of the worst start, the earliest of those in which the
 * least fill of an exit, or all that wagons get, is least, and of the places where the wagons may stop the worst.
 */
export class FlowLimits {
  private readonly worst = new Map<number, { readonly fill: Rational; readonly start: number; readonly flaws: readonly LimitFlaw[] }>();

  constructor(private readonly brief: Brief) {}

  /** `layout`: with its wagons moved as the line says; `demands`: by exit, whose of the brief it is. */
  take({ start, wagonsMoved }: LineOf<'start'>, layout: Layout, demands: readonly number[], flows: Flows): void {
    const { imbalance, dwell, trainsPerHour } = this.brief.limits;
    if (imbalance === undefined && dwell === undefined && trainsPerHour === undefined) return;
    const { load, exits, presence } = this.brief;
    const fills = flows.exits.map((exit, index) => (exit === undefined ? ZERO : exit.left.add(exit.right)).div(exits[demands[index]].belt.speed));
    const fill = load === undefined ? fills.reduce(minRational) : intoAllWagons(layout, flows, presence);
    const known = this.worst.get(wagonsMoved);
    const isWorse = known === undefined || isLess(fill, known.fill) || (fill.equals(known.fill) && start < known.start);
    if (isWorse) this.worst.set(wagonsMoved, { fill, start, flaws: this.flawsOf(layout, flows) });
  }

  private flawsOf(layout: Layout, flows: Flows): readonly LimitFlaw[] {
    const { load, limits: { imbalance, dwell, trainsPerHour } } = this.brief;
    const flaw = (limit: string, most: Rational, found: Rational | undefined): LimitFlaw => ({
      kind: 'plan-limit',
      limit,
      most: formatRational(most),
      found: found === undefined ? 'none' : formatRational(found),
    });
    const uneven = load === undefined ? jainImbalance(chestBalances(layout, flows).map(({ outflow }) => outflow ?? ZERO)) : ZERO;
    const pace = load === undefined ? trainPace(layout, flows) : fillingPace(layout, flows);
    return [
      ...(imbalance !== undefined && isLess(imbalance, uneven) ? [flaw('imbalance', imbalance, uneven)] : []),
      ...(dwell !== undefined && (pace === undefined || isLess(dwell, pace.dwell)) ? [flaw('dwell', dwell, pace?.dwell)] : []),
      ...(trainsPerHour !== undefined && (pace === undefined || isLess(pace.trainsPerHour, trainsPerHour))
        ? [flaw('trainsPerHour', trainsPerHour, pace?.trainsPerHour)]
        : []),
    ];
  }

  /** Once all starts are taken: of each limit the first flaw. */
  flaws(): readonly FlawKind[] {
    const all = [...this.worst.values()].flatMap(({ flaws }) => flaws);
    return [...new Map(all.toReversed().map((flaw) => [flaw.limit, flaw])).values()].toReversed();
  }
}
