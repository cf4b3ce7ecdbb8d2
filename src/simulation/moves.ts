/**
 * In which order the lanes and splitters of a piece move, once it is known which tiles are one lane.
 */
import type { Layout } from '../layout/layout.js';
import type { Network } from '../layout/network.js';
import { orderCarriers } from './carrier-order.js';
import { Link } from './machine.js';
import { buildSegments, type Segment, type Segments } from './segments.js';
import { findCuts, formTracks, isCompact, type Track } from './tracks.js';

/** A step of the order of moves: a track's lanes, or a splitter's crossing with its two input tracks. */
type Move =
  | { readonly kind: 'track'; readonly track: number }
  | { readonly kind: 'cross'; readonly part: number }
  | { readonly kind: 'enter'; readonly entry: number };

/** An entry of the piece: index among the layout's, and the segment onto which items come. */
interface EntrySite {
  readonly entry: number;
  readonly segment: number;
}

/** Each entry moves right after the carrier onto which it lets items. */
function withEntries(moves: readonly Move[], segments: readonly Segment[], tracks: readonly Track[], entries: readonly EntrySite[]): readonly Move[] {
  if (entries.length === 0) return moves;
  return moves.flatMap((move): readonly Move[] => {
    const isOnto = ({ segment }: EntrySite): boolean => {
      const { track } = segments[segment];
      const head = segments[tracks[track].segments[tracks[track].segments.length - 1]];
      if (head.role === 'input') return move.kind === 'cross' && move.part === head.carrier.part;
      return move.kind === 'track' && move.track === track;
    };
    const onto = entries.flatMap((site, entry): readonly Move[] => (isOnto(site) ? [{ kind: 'enter', entry }] : []));
    return [move, ...onto];
  });
}

/** Unmerged: the carriers' own order, output segments before the crossing. */
function exactMoves(segments: readonly Segment[], parts: readonly number[]): readonly Move[] {
  const ofPart = new Map<number, Move[]>(parts.map((part) => [part, []]));
  const splitters = new Set<number>();
  for (const segment of segments) {
    const { part } = segment.carrier;
    if (segment.role === 'input') splitters.add(part);
    else ofPart.get(part)?.push({ kind: 'track', track: segment.track });
  }
  for (const part of splitters) ofPart.get(part)?.push({ kind: 'cross', part });
  return parts.flatMap((part) => ofPart.get(part) ?? []);
}

/** Merged: any order that keeps the order of neighbours; undefined where none does. */
function mergedMoves(segments: readonly Segment[], tracks: readonly Track[]): readonly Move[] | undefined {
  const moves: Move[] = [];
  const moveOfTrack = new Int32Array(tracks.length);
  const crossOfPart = new Map<number, number>();
  tracks.forEach((track, index) => {
    const head = segments[track.segments[track.segments.length - 1]];
    if (head.role !== 'input') {
      moveOfTrack[index] = moves.push({ kind: 'track', track: index }) - 1;
      return;
    }
    const { part } = head.carrier;
    const known = crossOfPart.get(part);
    const cross = known ?? moves.push({ kind: 'cross', part }) - 1;
    crossOfPart.set(part, cross);
    moveOfTrack[index] = cross;
  });
  const moveOf = (segment: number): number => moveOfTrack[segments[segment].track];
  const later: number[][] = moves.map(() => []);
  const waits = new Int32Array(moves.length);
  const before = (first: number, second: number): void => {
    if (first === second) return;
    later[first].push(second);
    waits[second]++;
  };
  segments.forEach((segment, index) => {
    if (segment.to >= 0) before(moveOf(segment.to), moveOf(index));
    if (segment.link === Link.tee) {
      const up = segments[segment.to].up;
      if (up >= 0 && segments[up].rank < segment.rank) before(moveOf(up), moveOf(index));
      else if (up >= 0) before(moveOf(index), moveOf(up));
    }
    if (segment.role === 'output') {
      const cross = crossOfPart.get(segment.carrier.part);
      if (cross !== undefined) before(moveOf(index), cross);
    }
  });
  const order: Move[] = [];
  const free: number[] = [];
  for (let move = 0; move < moves.length; move++) if (waits[move] === 0) free.push(move);
  for (let move = free.pop(); move !== undefined; move = free.pop()) {
    order.push(moves[move]);
    for (const next of later[move]) if (--waits[next] === 0) free.push(next);
  }
  return order.length === moves.length ? order : undefined;
}

/** A piece whose lanes and order of moves are settled. */
export interface PlannedPiece extends Segments {
  readonly layout: Layout;
  readonly network: Network;
  /** The network's arms that act on it. */
  readonly arms: readonly number[];
  readonly opensRing: boolean;
  readonly tracks: readonly Track[];
  readonly moves: readonly Move[];
  readonly entries: readonly EntrySite[];
  /** By part, in the order in which they move. */
  readonly splitterOf: ReadonlyMap<number, number>;
}

/** `mergeTiles`: whether tiles may become one lane where that makes no difference. */
export function planPiece(layout: Layout, network: Network, members: readonly number[], arms: readonly number[], mergeTiles: boolean): PlannedPiece {
  const { parts, opensRing } = orderCarriers(layout, network, members);
  const all = buildSegments(layout, network, members, parts);
  const { segments, inputOf, outputOf } = all;
  const entries = members.flatMap((member): readonly EntrySite[] => {
    const { entry } = network.carriers[member];
    const segment = inputOf.get(member);
    return entry === undefined || segment === undefined ? [] : [{ entry, segment }];
  });
  const merged = mergeTiles && !opensRing && isCompact(layout, members, network) ? mergedTracks(segments, findCuts(layout, network, all, arms)) : undefined;
  const { tracks, moves: inOrder } = merged ?? { tracks: formTracks(segments, () => false), moves: exactMoves(segments, parts) };
  const moves = withEntries(inOrder, segments, tracks, entries);
  const splitterOf = new Map<number, number>();
  for (const move of moves) if (move.kind === 'cross') splitterOf.set(move.part, splitterOf.size);
  return { segments, inputOf, outputOf, layout, network, arms, opensRing, tracks, moves, entries, splitterOf };
}

/** Undefined where no order of moves keeps that of neighbours. */
function mergedTracks(segments: readonly Segment[], cut: Uint8Array): Pick<PlannedPiece, 'tracks' | 'moves'> | undefined {
  const tracks = formTracks(segments, (from, to) => cut[to] === 0 && segments[from].carrier.speed === segments[to].carrier.speed);
  const moves = mergedMoves(segments, tracks);
  return moves && { tracks, moves };
}
