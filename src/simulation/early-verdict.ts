/**
 * Whether a start falls short by what some of its strands do, whatever the others come to: what has not been run yet
 * may give each exit lane as much as it can carry, and takes nothing from any chest. A layout that is not found
 * to fail here may still do so; `verify.ts` then looks at all of it.
 */
import { ratio, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import type { Network } from '../layout/network.js';
import { ArmEndKind, Link, type Machine } from './machine.js';
import type { StrandPlace, Starts } from './starts.js';
import type { KnownStrands, StrandFlows } from './strand-memory.js';
import { chestsOf, freeFlows } from './supply.js';
import { fractionSum, isShort, type Fraction, type VerifyFailure, type VerifyOptions, type WholeTarget } from './verify-terms.js';

/**
 * Most items per tick that can leave over an exit lane; undefined where nothing is known. Items keep the pitch as long
 * as all of them come from behind, at one speed, and none is put in within a pitch of the edge.
 */
export function mostOver(m: Machine, exitLane: number): Fraction | undefined {
  const lane = m.laneTo.findIndex((to, each) => to === exitLane && m.laneLink[each] === Link.exit);
  if (lane < 0) return [0, 1];
  const speed = m.laneSpeed[lane];
  const latest = m.laneLength[lane] - m.pitch;
  if (m.opensRing || latest < speed || m.laneSpeed.some((other) => other !== speed)) return undefined;
  const joinsLate = m.laneLink.some((link, from) => link === Link.tee && m.laneTo[from] === lane && m.laneJoin[from] + speed > latest);
  const dropsLate = m.armPlaceLane.some((to, arm) => m.armPlaceKind[arm] === ArmEndKind.lane && to === lane && m.armPlaceTo[arm] > latest);
  return joinsLate || dropsLate ? undefined : [speed, m.pitch];
}

/** What is known of the flow over an exit's two lanes: at most so much, [side]. */
type Most = [Fraction | undefined, Fraction | undefined];

/** Whether an exit can't come to its target. */
function isExitShort([left, right]: Most, target: WholeTarget, exceed: boolean): boolean {
  if (left !== undefined && isShort(left, target.left, exceed)) return true;
  if (right !== undefined && isShort(right, target.right, exceed)) return true;
  return left !== undefined && right !== undefined && isShort(fractionSum(left, right), target.total, exceed);
}

/** The first target that is missed, from a start, if no more leaves over exits than said. */
function missedBy(most: readonly Most[], start: number, targets: readonly WholeTarget[], { exceed }: VerifyOptions): VerifyFailure | undefined {
  const target = targets.find((each) => isExitShort(most[each.exit], each, exceed === true));
  return target && { kind: 'flow', exit: target.exit, start };
}

const nothingLeaves = ({ exits }: Layout): Most[] => exits.map((): Most => [[0, 1], [0, 1]]);

function note(most: readonly Most[], { exitCount, periodTicks }: StrandFlows): void {
  for (const [exitLane, count] of exitCount) most[exitLane >> 1][exitLane & 1] = [count, periodTicks];
}

/** Of the standard start, by what is remembered of strands alone: no machine is needed then. */
export function rememberedFailure(layout: Layout, network: Network, strands: KnownStrands, targets: readonly WholeTarget[], options: VerifyOptions): VerifyFailure | undefined {
  if (!strands.areAll) return undefined;
  const most = nothingLeaves(layout);
  for (const { exitLanes, flows } of strands.flowsOfAll(network.arms.map(() => 0))) {
    for (const exitLane of exitLanes) most[exitLane >> 1][exitLane & 1] = undefined;
    if (flows !== undefined) note(most, flows);
  }
  return missedBy(most, 0, targets, options);
}

export function earlyFailure(starts: Starts, start: number, targets: readonly WholeTarget[], options: VerifyOptions): VerifyFailure | undefined {
  const { program } = starts;
  const most = nothingLeaves(program.layout);
  for (const { piece, strand } of starts.strands) {
    const { machine, exits } = program.pieces[piece];
    for (const exitLane of strand.exitLanes) most[exits[exitLane >> 1]][exitLane & 1] = mostOver(machine, exitLane);
  }
  let failure = missedBy(most, start, targets, options);
  const takes: Rational[] = freeFlows(program);
  const isKnown = (place: StrandPlace): boolean => starts.knownFlows(place, start) !== undefined;
  const inOrder = failure === undefined ? [...starts.strands.filter(isKnown), ...starts.strands.filter((place) => !isKnown(place))] : [];
  for (const place of inOrder) {
    const flows = starts.strandFlows(place, start);
    if (flows === undefined) continue;
    note(most, flows);
    failure = missedBy(most, start, targets, options);
    if (failure !== undefined) break;
    if (options.chestsCount === false) continue;
    for (const [arm, taken] of flows.armTaken) takes[arm] = ratio(taken, flows.periodTicks);
    const short = chestsOf(program, takes, options.presence).find(({ keepsUp }) => !keepsUp);
    if (short !== undefined) return { kind: 'supply', part: short.part, start };
  }
  return failure;
}
