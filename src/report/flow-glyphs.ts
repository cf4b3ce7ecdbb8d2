/**
 * How the flow of a lane shows in the terminal picture: whole lines where a lane is saturated or items wait on it,
 * broken ones where there are gaps, dots where nothing moves; and the places where a number says how full
 * it is from there on. Which glyphs a tile has is in `draw-layout.ts`.
 */
import { leftOf, rightOf, type Heading } from '../base/geometry.js';
import { unreachable } from '../base/invariant.js';
import type { Carrier } from '../layout/network.js';
import type { LaneFlow, LaneFlows, LaneState } from '../simulation/lane-flows.js';
import { wholePercent } from './numbers.js';

type Side = 'left' | 'right';

/** Lines that a gap breaks; where there is no broken glyph, every second cell stays empty. */
const BROKEN: Readonly<Record<string, string>> = { '━': '╍', '┃': '╏', '─': '╌', '│': '╎', '║': '¦' };
const IDLE = '━┃┏┓┗┛┣┫┳┻─│┌┐└┘├┤┬┴═║╔╗╚╝╠╣╦╩';

/** A glyph of a carrier's tile as it is drawn for the state of its lane. */
export function lanedGlyph(glyph: string, column: number, state: LaneState | undefined): string {
  if (state === undefined) return glyph;
  switch (state) {
    case 'full':
    case 'waiting':
      return glyph;
    case 'gaps':
      if (glyph === '═') return column % 2 === 0 ? '═' : ' ';
      return BROKEN[glyph] ?? glyph;
    case 'standing':
    case 'empty':
      return IDLE.includes(glyph) ? '·' : glyph;
    default:
      return unreachable(state);
  }
}

/** The lane to which a cell of a carrier's tile belongs. On a turn the inner one lies in the corner between its two open sides. */
export function sideAt(carrier: Carrier, column: number, row: number): Side {
  const { heading, shape } = carrier;
  const vertical: Heading = row === 0 ? 'N' : 'S';
  const horizontal: Heading = column < 2 ? 'W' : 'E';
  if (shape === 'straight') {
    const along = heading === 'N' || heading === 'S';
    return leftOf(heading) === (along ? horizontal : vertical) ? 'left' : 'right';
  }
  const inner: Side = shape === 'turn-left' ? 'left' : 'right';
  const open = [heading, inner === 'left' ? leftOf(heading) : rightOf(heading)];
  const inCorner = column !== 2 && open.includes(vertical) && open.includes(horizontal);
  if (inCorner) return inner;
  return inner === 'left' ? 'right' : 'left';
}

/** Straight belts that no side belt joins have cells to spare. */
export const carriesNumbers = (carrier: Carrier): boolean =>
  carrier.kind === 'belt' && carrier.shape === 'straight' && carrier.fromLeft === undefined && carrier.fromRight === undefined;

const isPart = (lane: LaneFlow | undefined): lane is LaneFlow =>
  lane !== undefined && (lane.state === 'gaps' || lane.state === 'waiting');

/**
 * Per carrier and lane, its fill in percent where it is less than full and no tile right before it says the
 * same: one number for each stretch of lane, at the first tile that can carry it.
 */
export function flowNumbers(
  carriers: readonly Carrier[],
  { carriers: flows }: LaneFlows,
): readonly Readonly<Record<Side, string | undefined>>[] {
  const isSaid = (index: number, side: Side, steps: number): boolean => {
    const feeder = carriers[index].behind ?? (carriers[index].shape === 'straight' ? undefined : (carriers[index].fromLeft ?? carriers[index].fromRight));
    const here = flows[index].tail[side];
    if (feeder === undefined || here === undefined || steps > carriers.length) return false;
    const before = flows[feeder].head[side];
    if (before === undefined || before.fill.compare(here.fill) !== 0 || before.state !== here.state) return false;
    return carriesNumbers(carriers[feeder]) || isSaid(feeder, side, steps + 1);
  };
  const numberOf = (index: number, side: Side): string | undefined => {
    const lane = flows[index].head[side];
    return carriesNumbers(carriers[index]) && isPart(lane) && !isSaid(index, side, 0) ? String(wholePercent(lane.fill)).padStart(2) : undefined;
  };
  return carriers.map((_, index) => ({ left: numberOf(index, 'left'), right: numberOf(index, 'right') }));
}

/** Whether there is anything to show: a plan on which nothing flows is drawn as it is built. */
export const anythingFlows = ({ carriers }: LaneFlows): boolean =>
  carriers.some(({ head }) => [head.left, head.right].some((lane) => lane !== undefined && lane.flow.compare(0) > 0));
