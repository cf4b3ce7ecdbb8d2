/**
 * Why a train stood as long as it did, as `WaitedFor` of `visit-result.ts` tells it: by the wagon that was done last, and what
 * its arms did at their other ends.
 */
import { invariant } from '../base/invariant.js';
import { armTile, type Stock } from './stock.js';
import type { ArmTarget, WaitedFor } from './visit-result.js';

/** A train that leaves now, or is still there as the run ends. */
interface StandingTrain {
  /** Whether it is to be filled; else it is to be emptied. */
  readonly fills: boolean;
  /** By wagon: the items with which it came, and the tick in which it was done last. */
  readonly loads: readonly number[];
  readonly doneTick: ArrayLike<number>;
  readonly stoodTicks: number;
  /** Whether it is known never to leave. */
  readonly isStuck: boolean;
  /** By arm of the machine: for how many ticks it waited at its other end while the train stood there. */
  readonly waitedTicks: (arm: number) => number;
}

/** The wagon that was emptied (or filled) last, of several that were not the one with most left to do; undefined where none had anything to do. */
function lastWagon({ layout, held }: Stock, { fills, loads, doneTick }: StandingTrain): number | undefined {
  const toDo = (wagon: number, items: number): number => (fills ? layout.wagons[wagon].model.capacity - items : items);
  const later = (a: number, b: number): number => toDo(a, held[a]) - toDo(b, held[b]) || (toDo(a, held[a]) > 0 ? 0 : doneTick[a] - doneTick[b]);
  const wagons = [...layout.wagons.keys()].filter((wagon) => toDo(wagon, loads[wagon]) > 0);
  return wagons.length === 0 ? undefined : wagons.reduce((last, each) => (later(each, last) > 0 ? each : last));
}

/** The end of a wagon's arm that is not at the wagon. */
function otherEnd({ layout, network, arms }: Stock, arm: number, fills: boolean): ArmTarget {
  const link = network.arms[arms[arm]];
  const end = fills ? link.pick : link.place;
  switch (end.kind) {
    case 'chest': {
      const part = layout.parts[end.part];
      invariant(part.kind === 'chest', 'an arm at a chest names one', {});
      return { kind: 'chest', at: part.at };
    }
    case 'wagon':
      return { kind: 'wagon', at: layout.wagons[end.wagon].at };
    case 'carrier':
      return { kind: 'carrier', at: end.tile };
    case 'nothing':
      invariant(false, 'an arm that acts has both ends', {});
  }
}

export function waitedFor(stock: Stock, train: StandingTrain): WaitedFor | undefined {
  const { fills, stoodTicks, isStuck, waitedTicks } = train;
  const wagon = lastWagon(stock, train);
  if (wagon === undefined) return undefined;
  const [near, lastArm] = fills ? [stock.armInto, stock.lastPlacer] : [stock.armFrom, stock.lastTaker];
  const arms = [...near.keys()].filter((arm) => near[arm] === wagon);
  if (arms.length === 0) return { why: 'unreached', wagon, arm: undefined, others: { count: 0, blockedTicks: 0 } };
  const last = arms.includes(lastArm[wagon]) ? lastArm[wagon] : arms[0];
  const blockedTicks = waitedTicks(last);
  const others = arms.filter((arm) => arm !== last);
  const othersBlocked = others.reduce((sum, arm) => sum + waitedTicks(arm), 0);
  // Of a train that never leaves the time means nothing: what holds it up is what its arms wait for now.
  const isHeldUp = isStuck ? blockedTicks > 0 : blockedTicks * 2 > stoodTicks;
  const why = isHeldUp ? (fills ? 'items' : 'room') : othersBlocked * 4 > others.length * stoodTicks ? 'one-arm' : 'arms';
  return {
    why,
    wagon,
    arm: { at: armTile(stock, last), into: otherEnd(stock, last, fills), blockedTicks },
    others: { count: others.length, blockedTicks: othersBlocked },
  };
}
