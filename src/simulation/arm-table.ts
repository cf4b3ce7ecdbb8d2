/**
 * The arms of a machine as flat arrays: what they are, where they pick and place, and what they are about.
 */
import type { Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import type { ArmModel } from '../catalog/catalog.js';
import type { PlacedArm } from '../layout/layout.js';
import type { Carrier } from '../layout/network.js';
import { armPart, pickSides, spotOf, tileStart } from './arm-spots.js';
import { ArmEndKind, PICK_STRETCHES, type Machine } from './machine.js';
import type { PlannedPiece } from './moves.js';
import type { Segment } from './segments.js';

type ArmFields =
  | 'armPickKind' | 'armPickLane' | 'armPickFrom' | 'armPickTo' | 'armPlaceKind' | 'armPlaceLane' | 'armPlaceFrom' | 'armPlaceTo'
  | 'armPayload' | 'armSwing' | 'armGrab' | 'armRelease' | 'armPatience'
  | 'armPhase' | 'armHand' | 'armDue' | 'armGrabDue' | 'armLastTake' | 'armTaken' | 'armPlaced' | 'armCycles' | 'armStarved' | 'armBlocked';

/** Where an arm finds items on a carrier: a lane, and between which positions. */
interface PickStretch {
  readonly lane: number;
  readonly from: number;
  readonly to: number;
}

interface PlacePoint extends PickStretch {
  /** One of `ArmEndKind`. */
  readonly kind: number;
}

function segmentOf({ segments }: PlannedPiece, index: number | undefined): Segment {
  invariant(index !== undefined, 'a piece holds what its arms reach');
  return segments[index];
}

/** Nearer lane first; what lies beyond a splitter's line before what has not crossed it. */
function pickStretches(piece: PlannedPiece, { heading }: PlacedArm, carrier: Carrier, tile: Tile): readonly PickStretch[] {
  const { layout, inputOf, outputOf } = piece;
  const { unitsPerTile } = layout.catalog;
  const looksAt = [...(carrier.kind === 'splitter-half' ? [outputOf] : []), inputOf].map((ofCarrier) => segmentOf(piece, ofCarrier.get(carrier.index)));
  return pickSides(carrier, heading).flatMap((side) =>
    looksAt.map(({ track, offset, length }): PickStretch => {
      const from = offset[side] + tileStart(carrier, tile, unitsPerTile);
      // The lane's own tail belongs to its first tile; other borders belong to the tile behind.
      return { lane: track * 2 + side, from: from === 0 ? -1 : from, to: from + (carrier.kind === 'underpass' ? unitsPerTile : length[side]) };
    }),
  );
}

function placePoint(piece: PlannedPiece, arm: PlacedArm, carrier: Carrier, tile: Tile): PlacePoint {
  const spot = spotOf(piece.layout, arm, carrier, tile);
  if (spot.kind === 'line') {
    return { kind: ArmEndKind.line, lane: (piece.splitterOf.get(carrier.part) ?? -1) * 2 + spot.side, from: 0, to: spot.beyond };
  }
  const { track, offset } = segmentOf(piece, (spot.output ? piece.outputOf : piece.inputOf).get(carrier.index));
  return { kind: ArmEndKind.lane, lane: track * 2 + spot.side, from: offset[spot.side] + spot.from, to: offset[spot.side] + spot.to };
}

export function armTable(piece: PlannedPiece): Pick<Machine, ArmFields> {
  const { layout, network, arms } = piece;
  const armArray = (): Int32Array => new Int32Array(arms.length);
  const armPickLane = new Int32Array(arms.length * PICK_STRETCHES).fill(-1);
  const armPickFrom = new Int32Array(arms.length * PICK_STRETCHES);
  const armPickTo = new Int32Array(arms.length * PICK_STRETCHES);
  const [armPickKind, armPlaceKind, armPlaceLane, armPlaceFrom, armPlaceTo] = [armArray(), armArray(), armArray(), armArray(), armArray()];
  const links = arms.map((networkArm) => network.arms[networkArm]);
  const placed = links.map((link) => armPart(layout, link));
  links.forEach(({ pick, place }, arm) => {
    if (pick.kind === 'carrier') {
      armPickKind[arm] = ArmEndKind.lane;
      pickStretches(piece, placed[arm], network.carriers[pick.carrier], pick.tile).forEach(({ lane, from, to }, n) => {
        armPickLane[arm * PICK_STRETCHES + n] = lane;
        armPickFrom[arm * PICK_STRETCHES + n] = from;
        armPickTo[arm * PICK_STRETCHES + n] = to;
      });
    }
    if (place.kind === 'carrier') {
      const { kind, lane, from, to } = placePoint(piece, placed[arm], network.carriers[place.carrier], place.tile);
      armPlaceKind[arm] = kind;
      armPlaceLane[arm] = lane;
      armPlaceFrom[arm] = from;
      armPlaceTo[arm] = to;
    }
  });
  const ofModel = (number: (model: ArmModel) => number): Int32Array => Int32Array.from(placed, ({ model }) => number(model));
  return {
    armPickKind,
    armPickLane,
    armPickFrom,
    armPickTo,
    armPlaceKind,
    armPlaceLane,
    armPlaceFrom,
    armPlaceTo,
    armPayload: ofModel(({ payload }) => payload),
    armSwing: ofModel(({ swingTicks }) => swingTicks),
    armGrab: ofModel(({ grabTicks }) => grabTicks),
    armRelease: ofModel(({ releaseTicks }) => releaseTicks),
    armPatience: ofModel(({ patienceTicks }) => patienceTicks ?? -1),
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
