/**
 * Which segments become one lane of a machine: lanes of consecutive tiles, where the order of moves can't tell; why that
 * changes no item's way stands in `rationale.md`.
 */
import type { Layout } from '../layout/layout.js';
import type { Network } from '../layout/network.js';
import { armPart, spotOf } from './arm-spots.js';
import { Link } from './machine.js';
import type { Segment, Segments } from './segments.js';
import { LEFT, RIGHT } from './sides.js';

/** Positions on longer lanes would not be sure to fit into 32 bits. */
const MOST_LENGTH = 2 ** 29;

/**
 * Whether tiles may be merged at all: no item reaches past a whole tile in one move or one test, so that
 * only neighbours can tell in which order they moved; and all of them together are no longer than a lane may be.
 */
export function isCompact(layout: Layout, members: readonly number[], network: Network): boolean {
  const { unitsPerTile, pitch, turn } = layout.catalog;
  const carriers = members.map((member) => network.carriers[member]);
  const fastest = carriers.reduce((most, { speed }) => Math.max(most, speed), 0);
  const length = carriers.reduce((sum, { leftLength, rightLength }) => sum + Math.max(leftLength, rightLength), 0);
  return pitch + fastest <= unitsPerTile / 2 && Math.min(turn.inner, turn.outer) >= unitsPerTile / 4 && length <= MOST_LENGTH;
}

/** Segments before which no merging is allowed, for the order of moves or a border position could tell. */
export function findCuts(layout: Layout, network: Network, { segments, inputOf }: Segments, arms: readonly number[]): Uint8Array {
  const cut = new Uint8Array(segments.length);
  for (const segment of segments) {
    if (segment.link !== Link.tee) continue;
    const up = segments[segment.to].up;
    // Here the side feeder moves before the through traffic.
    if (up >= 0 && segments[up].rank >= segment.rank) cut[segment.to] = 1;
  }
  for (const index of arms) {
    const link = network.arms[index];
    if (link.place.kind !== 'carrier') continue;
    const spot = spotOf(layout, armPart(layout, link), network.carriers[link.place.carrier], link.place.tile);
    const segment = inputOf.get(link.place.carrier);
    // An item put down right on the tile's tail would count as one on the tile behind.
    if (spot.kind === 'lane' && !spot.output && spot.from === 0 && segment !== undefined) cut[segment] = 1;
  }
  return cut;
}

export interface Track {
  /** From tail to head. */
  readonly segments: readonly number[];
}

/** Makes known to each segment where it lies. */
export function formTracks(segments: readonly Segment[], merges: (from: number, to: number) => boolean): readonly Track[] {
  const tracks: Track[] = [];
  segments.forEach((segment, index) => {
    if (segment.link === Link.onward && merges(index, segment.to)) return;
    const chain = [index];
    for (let at = index, up = segment.up; up >= 0 && merges(up, at); at = up, up = segments[up].up) chain.push(up);
    chain.reverse();
    const offset: [number, number] = [0, 0];
    for (const member of chain) {
      segments[member].track = tracks.length;
      segments[member].offset = [offset[LEFT], offset[RIGHT]];
      offset[LEFT] += segments[member].length[LEFT];
      offset[RIGHT] += segments[member].length[RIGHT];
    }
    tracks.push({ segments: chain });
  });
  return tracks;
}
