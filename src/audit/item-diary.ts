/**
 * Follows every item of a run by name, from the arm that puts it on a lane to the exit over which it leaves, and keeps
 * where it was held up. The second simulator runs it, since there items are things of their own.
 */
import { invariant } from '../base/invariant.js';
import { goOnUnless, type ShouldStop } from '../base/run-stopped.js';
import type { Layout, Side } from '../layout/layout.js';
import { deriveNetwork, type Carrier } from '../layout/network.js';
import type { Barrier } from './cause.js';
import { referenceRun } from './reference-simulator.js';

/** A tick in which an item went less far than its carrier would have taken it. */
interface Wait {
  readonly tick: number;
  /** Index into the network's carriers. */
  readonly carrier: number;
  /** Whether it stood before a splitter's dividing line. */
  readonly beforeLine: boolean;
  /** Units that it did not go, of the `speed` that it might have. */
  readonly lost: number;
  readonly speed: number;
}

interface Journey {
  /** The network's arm that put it down, and when; undefined where it lay there before the run was watched. */
  readonly arm: number | undefined;
  readonly placedIn: number;
  /** In the order of time. */
  readonly waits: readonly Wait[];
  /** The slowest carrier on its way; of equals the last. */
  readonly slowest: number;
}

export interface Departure {
  readonly tick: number;
  readonly exit: number;
  readonly side: Side;
  /** Units at the exit's speed from the item before it; undefined for the first one. */
  readonly gap: number | undefined;
  readonly journey: Journey;
}

interface Traveller {
  arm: number | undefined;
  placedIn: number;
  waits: Wait[];
  slowest: number;
  where: string;
  at: number | undefined;
}

/** The lane of the second simulator's name, such as "splitter in 3,4 left". */
function carrierOf(carriers: ReadonlyMap<string, Carrier>, where: string): Carrier | undefined {
  const [kind = ''] = where.split(' ');
  const place = /-?\d+,-?\d+/.exec(where)?.[0];
  return kind === 'hand' || place === undefined ? undefined : carriers.get(place);
}

const sideOf = (where: string): Side => (where.endsWith('left') ? 'left' : 'right');

/** The exit at the end of a carrier's way, if it has no other end. */
function exitBeyond(carriers: readonly Carrier[], from: Carrier): number | undefined {
  let carrier = from;
  for (let steps = 0; steps <= carriers.length; steps += 1) {
    if (carrier.next.kind === 'exit') return carrier.next.exit;
    if (carrier.next.kind === 'nothing') return undefined;
    carrier = carriers[carrier.next.carrier];
  }
  return undefined;
}

/** Every item that leaves in ticks 1 to `ticks`, in the order of time. `delays`: as for a run of the first simulator. Throws `RunStopped` once it is to stop. */
export function itemDiary(layout: Layout, delays: readonly number[], ticks: number, shouldStop?: ShouldStop): readonly Departure[] {
  const { carriers, arms } = deriveNetwork(layout);
  const byTile = new Map(carriers.map((carrier) => [`${carrier.tail.x},${carrier.tail.y}`, carrier]));
  const armByTile = new Map(
    arms.map(({ part }, arm): readonly [string, number] => {
      const placed = layout.parts[part];
      invariant(placed.kind === 'arm', 'an arm link names an arm', { part });
      return [`hand ${placed.at.x},${placed.at.y}`, arm];
    }),
  );
  const inPartOrder = layout.parts.flatMap((part, index) => (part.kind === 'arm' ? [delays[arms.findIndex((arm) => arm.part === index)] ?? 0] : []));
  const run = referenceRun(layout, inPartOrder);
  const travellers = new Map<number, Traveller>();
  const left: Omit<Departure, 'gap'>[] = [];
  const counted = layout.exits.map(() => ({ left: 0, right: 0 }));

  for (let tick = 1; tick <= ticks; tick += 1) {
    goOnUnless(shouldStop);
    run.step();
    const seen = new Set<number>();
    for (const { id, where, at } of run.items()) {
      seen.add(id);
      const known = travellers.get(id);
      const carrier = carrierOf(byTile, where);
      if (known === undefined || carrier === undefined) {
        travellers.set(id, { arm: undefined, placedIn: tick, waits: [], slowest: carrier?.index ?? -1, where, at });
        continue;
      }
      if (known.where !== where) {
        if (known.at === undefined) {
          known.arm = armByTile.get(known.where);
          known.placedIn = tick;
        }
        if (known.slowest < 0 || carrier.speed <= carriers[known.slowest].speed) known.slowest = carrier.index;
      } else if (at !== undefined && known.at !== undefined && at - known.at < carrier.speed) {
        known.waits.push({ tick, carrier: carrier.index, beforeLine: where.startsWith('splitter in'), lost: carrier.speed - (at - known.at), speed: carrier.speed });
      }
      known.where = where;
      known.at = at;
    }
    const now = run.counts().exits;
    const open = now.flatMap((exit, index) =>
      (['left', 'right'] as const).flatMap((side) => Array.from({ length: exit[side] - counted[index][side] }, () => ({ exit: index, side }))),
    );
    now.forEach((exit, index) => {
      counted[index] = { left: exit.left, right: exit.right };
    });
    for (const [id, traveller] of travellers) {
      if (seen.has(id)) continue;
      travellers.delete(id);
      const carrier = carrierOf(byTile, traveller.where);
      if (carrier === undefined) continue;
      const exit = exitBeyond(carriers, carrier);
      const found =
        open.find((each) => each.exit === exit && each.side === sideOf(traveller.where)) ?? open.find((each) => each.exit === exit) ?? open.at(0);
      invariant(found !== undefined, 'an item that is gone from a lane has left over an exit', { tick, where: traveller.where });
      open.splice(open.indexOf(found), 1);
      left.push({ tick, ...found, journey: traveller });
    }
    invariant(open.length === 0, 'every item that left was on a lane', { tick });
  }
  const gaps = run.gaps();
  const numbers = layout.exits.map(() => ({ left: 0, right: 0 }));
  return left.map((departure) => {
    const { exit, side } = departure;
    const gap = numbers[exit][side] === 0 ? undefined : gaps[exit][side][numbers[exit][side] - 1];
    numbers[exit][side] += 1;
    return { ...departure, gap };
  });
}

/** The first place along a carrier's way at which items may be held up. */
export function barrierAhead(carriers: readonly Carrier[], from: number, beforeLine: boolean): Barrier {
  let carrier = carriers[from];
  if (beforeLine) return { kind: 'splitter', at: carrier.tail };
  for (let steps = 0; steps <= carriers.length; steps += 1) {
    const { next, head } = carrier;
    if (next.kind !== 'carrier') return { kind: next.kind === 'exit' ? 'exit' : 'end', at: head };
    carrier = carriers[next.carrier];
    if (next.entry === 'tee-left' || next.entry === 'tee-right') return { kind: 'tee', at: carrier.tail };
    if (carrier.kind === 'splitter-half') return { kind: 'splitter', at: carrier.tail };
  }
  return { kind: 'ring', at: carriers[from].tail };
}
