/**
 * What each arm picks from and places on (world rules, section 7).
 */
import { backOf, leftOf, rightOf, sameTile, type Heading, type Tile } from '../../base/geometry.js';
import { invariant } from '../../base/invariant.js';
import { pickTile, placeTile, wagonAt, type PlacedArm, type Side } from '../../layout/layout.js';
import { carrierAt } from './carriers.js';
import type { Shapes } from './shapes.js';
import { otherSide, type CarrierState, type Container, type Source, type Stretch, type Target, type World } from './world.js';

type Ground = Pick<World, 'layout' | 'carriers' | 'wagons' | 'chests' | 'unitsPerTile'>;

type End = { readonly kind: 'nothing' } | { readonly kind: 'container'; readonly container: Container } | { readonly kind: 'carrier'; readonly carrier: CarrierState };

/** What an arm meets on a tile. */
function endAt({ layout, wagons, chests, carriers }: Ground, tile: Tile): End {
  const wagon = wagonAt(layout.wagons, tile);
  const container = wagon === undefined ? chests.find((chest) => sameTile(chest.at, tile))?.container : wagons[wagon];
  if (container !== undefined) return { kind: 'container', container };
  const carrier = carrierAt(carriers, tile);
  return carrier === undefined ? { kind: 'nothing' } : { kind: 'carrier', carrier };
}

/** The stretches of a lane side that lie on a tile, the foremost first. */
function stretchesOn(carrier: CarrierState, tile: Tile, side: Side, unitsPerTile: number): readonly Stretch[] {
  switch (carrier.kind) {
    case 'belt':
      return [{ lane: carrier.lanes[side], low: 0, high: carrier.lanes[side].length }];
    case 'underpass': {
      if (sameTile(carrier.from, tile)) return [{ lane: carrier.lanes[side], low: 0, high: unitsPerTile }];
      // An item on the border is on the tile behind it.
      const border = carrier.tilesApart * unitsPerTile;
      return [{ lane: carrier.lanes[side], low: border + 1, high: border + unitsPerTile }];
    }
    case 'splitter': {
      const half = sameTile(carrier.halves.left.at, tile) ? carrier.halves.left : carrier.halves.right;
      return [
        { lane: half.output[side], low: 0, high: unitsPerTile / 2 },
        { lane: half.input[side], low: 0, high: unitsPerTile / 2 },
      ];
    }
  }
}

/** The lane of a tile of heading `h` that lies in the direction `towards`, seen across it. */
const laneTowards = (h: Heading, towards: Heading): Side => (towards === rightOf(h) ? 'right' : 'left');

export function sourceOf(ground: Ground, { turnsFrom }: Shapes, arm: PlacedArm): Source {
  const tile = pickTile(arm);
  const end = endAt(ground, tile);
  if (end.kind !== 'carrier') return end;
  const { carrier } = end;
  const d = arm.heading;
  const h = carrier.heading;
  const across = d === rightOf(h) || d === leftOf(h);
  // Behind the arm, so what is nearer to it lies in the direction d.
  const first = laneTowards(h, across ? d : rightOf(d));
  const of = (side: Side): readonly Stretch[] => stretchesOn(carrier, tile, side, ground.unitsPerTile);
  return {
    kind: 'lanes',
    what: carrier.kind === 'belt' && turnsFrom(carrier.at, h) !== undefined ? 'turn' : carrier.kind,
    stretches: [...of(first), ...of(otherSide(first))],
  };
}

export function targetOf(ground: Ground, { turnsFrom }: Shapes, arm: PlacedArm): Target {
  const { unitsPerTile: U } = ground;
  const tile = placeTile(arm);
  const end = endAt(ground, tile);
  if (end.kind !== 'carrier') return end;
  const { carrier } = end;
  const d = arm.heading;
  const h = carrier.heading;
  const way = d === h ? 'along' : d === backOf(h) ? 'against' : 'across';
  const side = laneTowards(h, way === 'across' ? d : rightOf(d));
  const quarters = way === 'along' ? 3 : way === 'against' ? 1 : 2;
  const [stretch] = stretchesOn(carrier, tile, side, U);
  invariant(stretch !== undefined, 'a tile has a stretch of each lane');
  switch (carrier.kind) {
    case 'splitter':
      return way === 'along'
        ? { kind: 'spot', what: 'splitter along', stretch, spot: (3 * U) / 4 - U / 2 }
        : { kind: 'line', what: `splitter ${way}`, splitter: carrier, side };
    case 'belt': {
      const what = `${turnsFrom(carrier.at, h) === undefined ? 'belt' : 'turn'} ${way}`;
      return { kind: 'spot', what, stretch, spot: Math.floor((quarters * stretch.lane.length) / 4) };
    }
    case 'underpass': {
      const isEntry = sameTile(carrier.from, tile);
      const border = isEntry ? 0 : carrier.tilesApart * U;
      const what = `underpass ${isEntry ? 'entry' : 'exit end'} ${way}`;
      return { kind: 'spot', what, stretch, spot: border + (quarters * U) / 4 };
    }
  }
}
