/**
 * The arms of a machine as flat arrays: what they are, where they pick and place, and what they are about.
 */
import { invariant } from '../base/invariant.js';
import { armPart, pickSides, spotOf, tileStart } from './arm-spots.js';
import { ArmEndKind, PICK_STRETCHES, type Machine } from './machine.js';
import type { PlannedPiece } from './moves.js';
import type { Segment } from './segments.js';

type ArmFields =
  | 'armPickKind' | 'armPickLane' | 'armPickFrom' | 'armPickTo' | 'armPlaceKind' | 'armPlaceLane' | 'armPlaceFrom' | 'armPlaceTo'
  | 'armPayload' | 'armSwing' | 'armGrab' | 'armRelease' | 'armPatience'
  | 'armPhase' | 'armHand' | 'armDue' | 'armGrabDue' | 'armLastTake' | 'armTaken' | 'armPlaced' | 'armCycles' | 'armStarved' | 'armBlocked';

export function armTable({ layout, network, arms, segments, inputOf, outputOf, splitterOf }: PlannedPiece): Pick<Machine, ArmFields> {
  const { unitsPerTile } = layout.catalog;
  const count = arms.length;
  const armArray = (): Int32Array => new Int32Array(count);
  const armPickKind = armArray();
  const armPickLane = new Int32Array(count * PICK_STRETCHES).fill(-1);
  const armPickFrom = new Int32Array(count * PICK_STRETCHES);
  const armPickTo = new Int32Array(count * PICK_STRETCHES);
  const armPlaceKind = armArray();
  const armPlaceLane = armArray();
  const armPlaceFrom = armArray();
  const armPlaceTo = armArray();
  const armPayload = armArray();
  const armSwing = armArray();
  const armGrab = armArray();
  const armRelease = armArray();
  const armPatience = armArray();
  const segmentOf = (index: number | undefined): Segment => {
    invariant(index !== undefined, 'a piece holds what its arms reach');
    return segments[index];
  };
  arms.forEach((networkArm, arm) => {
    const link = network.arms[networkArm];
    const placed = armPart(layout, link);
    const { model } = placed;
    armPayload[arm] = model.payload;
    armSwing[arm] = model.swingTicks;
    armGrab[arm] = model.grabTicks;
    armRelease[arm] = model.releaseTicks;
    armPatience[arm] = model.patienceTicks ?? -1;
    if (link.pick.kind === 'carrier') {
      armPickKind[arm] = ArmEndKind.lane;
      const carrier = network.carriers[link.pick.carrier];
      const start = tileStart(carrier, link.pick.tile, unitsPerTile);
      const split = carrier.kind === 'splitter-half';
      let k = arm * PICK_STRETCHES;
      for (const side of pickSides(carrier, placed.heading)) {
        const looksAt = split ? [outputOf.get(carrier.index), inputOf.get(carrier.index)] : [inputOf.get(carrier.index)];
        for (const index of looksAt) {
          const segment = segmentOf(index);
          const length = carrier.kind === 'underpass' ? unitsPerTile : segment.length[side];
          const from = segment.offset[side] + start;
          armPickLane[k] = segment.track * 2 + side;
          // The lane's own tail belongs to its first tile; other borders belong to the tile behind.
          armPickFrom[k] = from === 0 ? -1 : from;
          armPickTo[k] = from + length;
          k++;
        }
      }
    }
    if (link.place.kind === 'carrier') {
      const carrier = network.carriers[link.place.carrier];
      const spot = spotOf(layout, placed, carrier, link.place.tile);
      if (spot.kind === 'line') {
        armPlaceKind[arm] = ArmEndKind.line;
        armPlaceLane[arm] = (splitterOf.get(carrier.part) ?? -1) * 2 + spot.side;
        armPlaceTo[arm] = spot.beyond;
      } else {
        const segment = segmentOf((spot.output ? outputOf : inputOf).get(carrier.index));
        armPlaceKind[arm] = ArmEndKind.lane;
        armPlaceLane[arm] = segment.track * 2 + spot.side;
        armPlaceFrom[arm] = segment.offset[spot.side] + spot.from;
        armPlaceTo[arm] = segment.offset[spot.side] + spot.to;
      }
    }
  });
  return {
    armPickKind,
    armPickLane,
    armPickFrom,
    armPickTo,
    armPlaceKind,
    armPlaceLane,
    armPlaceFrom,
    armPlaceTo,
    armPayload,
    armSwing,
    armGrab,
    armRelease,
    armPatience,
    armPhase: armArray(),
    armHand: armArray(),
    armDue: armArray(),
    armGrabDue: armArray(),
    armLastTake: armArray(),
    armTaken: armArray(),
    armPlaced: armArray(),
    armCycles: armArray(),
    armStarved: armArray(),
    armBlocked: armArray(),
  };
}
