/**
 * The lanes of a machine, and the edges of the site over which items leave and come in, as flat arrays.
 */
import { invariant } from '../base/invariant.js';
import { isCountable } from '../base/rate.js';
import type { Rational } from '../base/rational.js';
import { entriesOf } from '../layout/layout.js';
import { FAR, Link, type Machine } from './machine.js';
import type { PlannedPiece } from './moves.js';
import { RIGHT } from './sides.js';

/** Where a stretch of a carrier lies on the machine's lanes. */
export interface Stretch {
  readonly carrier: number;
  /** Index of the left lane; the right one follows it. */
  readonly lane: number;
  /** Where the stretch begins on the machine's lane and on the carrier's own, per side, and its length. */
  readonly laneFrom: readonly [number, number];
  readonly carrierFrom: number;
  readonly length: readonly [number, number];
}

type LaneFields =
  | 'laneLength' | 'laneSpeed' | 'laneBase' | 'laneHead' | 'laneCount' | 'laneShift' | 'lanePacked' | 'laneLink' | 'laneTo' | 'laneJoin'
  | 'laneUp' | 'laneHeld' | 'laneTeed' | 'position';
type ExitFields =
  | 'exitPrice' | 'exitGain' | 'exitCredit' | 'exitLast' | 'exitSpeed' | 'exitCount'
  | 'gapFirstTick' | 'gapFirstRest' | 'gapLastTick' | 'gapLastRest' | 'gapGreatest';
type EntryFields = 'entryLane' | 'entryPrice' | 'entryGain' | 'entryCredit' | 'entryLast' | 'entryCount';

interface LaneTable {
  readonly lanes: Pick<Machine, LaneFields>;
  /** From the tail of each lane to its head. */
  readonly stretches: readonly Stretch[];
  /** The layout's exits that the machine's ones stand for, and the speeds of their tiles. */
  readonly exits: readonly number[];
  readonly exitSpeeds: readonly number[];
  readonly entryLane: Int32Array;
}

export function laneTable({ layout, segments, tracks, entries }: PlannedPiece): LaneTable {
  const { pitch, unitsPerTile } = layout.catalog;
  const lanes = (tracks.length + entries.length) * 2;
  const laneLength = new Int32Array(lanes);
  const laneSpeed = new Int32Array(lanes);
  const laneBase = new Int32Array(lanes + 1);
  const laneLink = new Int32Array(lanes);
  const laneTo = new Int32Array(lanes).fill(-1);
  const laneJoin = new Int32Array(lanes);
  const laneUp = new Int32Array(lanes).fill(-1);
  const exits: number[] = [];
  const exitSpeeds: number[] = [];
  const stretches: Stretch[] = [];
  let room = 0;
  tracks.forEach((track, index) => {
    const head = segments[track.segments[track.segments.length - 1]];
    const tail = segments[track.segments[0]];
    if (head.link === Link.exit) {
      exits.push(head.exit);
      exitSpeeds.push(head.carrier.speed);
    }
    for (const member of track.segments) {
      const { carrier, role, offset, length } = segments[member];
      const carrierFrom = role === 'output' ? unitsPerTile / 2 : 0;
      stretches.push({ carrier: carrier.index, lane: index * 2, laneFrom: offset, carrierFrom, length });
    }
    for (let side = 0; side < 2; side++) {
      const lane = index * 2 + side;
      laneLength[lane] = head.offset[side] + head.length[side];
      laneSpeed[lane] = head.carrier.speed;
      // Items keep the pitch, which bounds their number. Twice that room: a lane's head moves on as items leave.
      room += 2 * (Math.floor(laneLength[lane] / pitch) + 2);
      laneBase[lane + 1] = room;
      laneLink[lane] = head.link;
      if (tail.up >= 0) laneUp[lane] = segments[tail.up].track * 2 + side;
      if (head.link === Link.exit) laneTo[lane] = (exits.length - 1) * 2 + side;
      if (head.link === Link.onward) laneTo[lane] = segments[head.to].track * 2 + side;
      if (head.link === Link.tee) {
        const target = segments[head.to];
        laneTo[lane] = target.track * 2 + head.joinSide;
        // The side lane nearer to where the target heads joins downstream.
        const downstream = side === head.joinSide;
        laneJoin[lane] = target.offset[head.joinSide] + (unitsPerTile / 4) * (downstream ? 3 : 1);
      }
    }
  });

  const entryLane = Int32Array.from(entries, (_, entry) => (tracks.length + entry) * 2);
  entries.forEach(({ segment }, entry) => {
    const { track, carrier } = segments[segment];
    for (let side = 0; side < 2; side++) {
      const lane = entryLane[entry] + side;
      laneLength[lane] = pitch;
      laneSpeed[lane] = carrier.speed;
      room += 1;
      laneBase[lane + 1] = room;
      laneLink[lane] = Link.onward;
      laneTo[lane] = track * 2 + side;
      laneUp[laneTo[lane]] = lane;
    }
  });
  return {
    lanes: {
      laneLength,
      laneSpeed,
      laneBase,
      laneHead: laneBase.slice(0, lanes),
      laneCount: new Int32Array(lanes),
      laneShift: new Int32Array(lanes),
      lanePacked: new Int32Array(lanes),
      laneLink,
      laneTo,
      laneJoin,
      laneUp,
      laneHeld: new Int32Array(lanes).fill(FAR),
      laneTeed: new Int32Array(lanes),
      position: new Int32Array(room),
    },
    stretches,
    exits,
    exitSpeeds,
    entryLane,
  };
}

/** What an item costs at each edge, and what each gains in a tick, in the edge's own unit of credit; 0 where there is no limit. */
function prices(limits: readonly (Rational | undefined)[]): readonly [price: Float64Array, gain: Float64Array] {
  const price = new Float64Array(limits.length);
  const gain = new Float64Array(limits.length);
  limits.forEach((limit, index) => {
    if (limit === undefined) return;
    invariant(isCountable(limit), 'a take or give has a small enough fraction', { index });
    price[index] = Number(limit.d);
    gain[index] = Number(limit.n);
  });
  return [price, gain];
}

export function exitTable({ layout }: PlannedPiece, { exits, exitSpeeds }: LaneTable): Pick<Machine, ExitFields> {
  const [exitPrice, exitGain] = prices(exits.map((exit) => layout.exits[exit].take));
  const ofLanes = (): Int32Array => new Int32Array(exits.length * 2);
  return {
    exitPrice,
    exitGain,
    exitCredit: new Float64Array(exits.length),
    exitLast: new Int32Array(exits.length).fill(RIGHT),
    exitSpeed: Int32Array.from(exitSpeeds),
    exitCount: ofLanes(),
    gapFirstTick: ofLanes().fill(-1),
    gapFirstRest: ofLanes(),
    gapLastTick: ofLanes().fill(-1),
    gapLastRest: ofLanes(),
    gapGreatest: new Float64Array(exits.length * 2).fill(-1),
  };
}

export function entryTable({ layout, entries }: PlannedPiece, { entryLane }: LaneTable): Pick<Machine, EntryFields> {
  const [entryPrice, entryGain] = prices(entries.map(({ entry }) => entriesOf(layout)[entry].give));
  return {
    entryLane,
    entryPrice,
    entryGain,
    entryCredit: new Float64Array(entries.length),
    entryLast: new Int32Array(entries.length).fill(RIGHT),
    entryCount: new Int32Array(entries.length * 2),
  };
}
