/**
 * Belts, splitters and underpasses with their lanes (world rules, sections 2, 4 and 5), not linked yet.
 */
import { rightHalfOf, sameTile, type Tile } from '../../base/geometry.js';
import { tilesApart, underpassHeading, type Layout, type Side } from '../../layout/layout.js';
import type { Shapes } from './shapes.js';
import { SIDES, both, happened, otherSide, show, type CarrierState, type Events, type HalfState, type Head, type Lane, type Lanes } from './world.js';

const makeLane = (name: string, length: number, speed: number): Lane => ({
  name,
  length,
  speed,
  items: [],
  way: { kind: 'nothing' },
  before: undefined,
});

export const makeLanes = (name: string, lengths: Readonly<Record<Side, number>>, speed: number): Lanes => ({
  left: makeLane(`${name} left`, lengths.left, speed),
  right: makeLane(`${name} right`, lengths.right, speed),
});

export function carriersOf(layout: Layout, { turnsFrom }: Shapes, events: Events): readonly CarrierState[] {
  const { unitsPerTile: U, turn } = layout.catalog;
  return layout.parts.flatMap((part): readonly CarrierState[] => {
    switch (part.kind) {
      case 'belt': {
        const from = turnsFrom(part.at, part.heading);
        const lengths = both(U);
        if (from !== undefined) {
          lengths[from] = turn.inner;
          lengths[otherSide(from)] = turn.outer;
          happened(events, 'shape: turn');
        }
        const lanes = makeLanes(`belt ${show(part.at)}`, lengths, part.model.speed);
        return [{ kind: 'belt', at: part.at, heading: part.heading, lanes }];
      }
      case 'underpass': {
        const apart = tilesApart(part);
        const lanes = makeLanes(`underpass ${show(part.from)}`, both((apart + 1) * U), part.model.speed);
        return [{ kind: 'underpass', from: part.from, to: part.to, heading: underpassHeading(part), tilesApart: apart, lanes }];
      }
      case 'splitter': {
        const half = (at: Tile): HalfState => ({
          at,
          input: makeLanes(`splitter in ${show(at)}`, both(U / 2), part.model.speed),
          output: makeLanes(`splitter out ${show(at)}`, both(U / 2), part.model.speed),
        });
        return [
          {
            kind: 'splitter',
            placed: part,
            heading: part.heading,
            halves: { left: half(part.at), right: half(rightHalfOf(part.at, part.heading)) },
            outputToggle: { left: 'left', right: 'left' },
            inputToggle: { left: 'left', right: 'left' },
          },
        ];
      }
      case 'arm':
      case 'chest':
        return [];
    }
  });
}

export const headsOf = (carrier: CarrierState): readonly Head[] => {
  const heading = carrier.heading;
  switch (carrier.kind) {
    case 'belt':
      return [{ carrier, at: carrier.at, heading, lanes: carrier.lanes }];
    case 'underpass':
      return [{ carrier, at: carrier.to, heading, lanes: carrier.lanes }];
    case 'splitter':
      return SIDES.map((side) => ({
        carrier,
        at: carrier.halves[side].at,
        heading,
        lanes: carrier.halves[side].output,
      }));
  }
};

export const carrierTiles = (carrier: CarrierState): readonly Tile[] => {
  switch (carrier.kind) {
    case 'belt':
      return [carrier.at];
    case 'underpass':
      return [carrier.from, carrier.to];
    case 'splitter':
      return [carrier.halves.left.at, carrier.halves.right.at];
  }
};

export const carrierAt = (carriers: readonly CarrierState[], tile: Tile): CarrierState | undefined =>
  carriers.find((carrier) => carrierTiles(carrier).some((own) => sameTile(own, tile)));

export const lanesOf = (carriers: readonly CarrierState[]): readonly Lane[] =>
  carriers.flatMap((carrier) =>
    carrier.kind === 'splitter'
      ? SIDES.flatMap((half) => SIDES.flatMap((side) => [carrier.halves[half].input[side], carrier.halves[half].output[side]]))
      : SIDES.map((side) => carrier.lanes[side]),
  );
