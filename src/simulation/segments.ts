/**
 * The least units of a piece that have a place of their own in the order of moves, and how they pass items on. Which of
 * them become one lane of a machine is `tracks.ts`'s.
 */
import { invariant } from '../base/invariant.js';
import type { Layout } from '../layout/layout.js';
import type { Carrier, Network } from '../layout/network.js';
import { Link } from './machine.js';
import { LEFT, RIGHT } from './sides.js';

/** The least unit that has its own place in the order of moves: a belt, an underpass, or one segment of a splitter half. */
export interface Segment {
  readonly carrier: Carrier;
  readonly role: 'whole' | 'input' | 'output';
  readonly length: readonly [number, number];
  /** One of `Link`. */
  link: number;
  /** The segment that it passes to; of a tee merge also the target's near side. Else -1. */
  to: number;
  joinSide: number;
  /** The exit that it passes to, or -1. */
  exit: number;
  /** The segment that flows onward into this one, or -1. */
  up: number;
  /** Rank of its part in the order of moves. */
  rank: number;
  /** The track that it is part of, and where on the track's two lanes it begins. */
  track: number;
  offset: [number, number];
}

export interface Segments {
  readonly segments: readonly Segment[];
  /** By carrier: the segment onto which it takes items, and the one from which it passes them on. */
  readonly inputOf: ReadonlyMap<number, number>;
  readonly outputOf: ReadonlyMap<number, number>;
}

/** Of these carriers, whose parts move in the order of `parts`. Tracks are left open. */
export function buildSegments(layout: Layout, network: Network, members: readonly number[], parts: readonly number[]): Segments {
  const segments: Segment[] = [];
  const inputOf = new Map<number, number>();
  const outputOf = new Map<number, number>();
  const rankOf = new Map(parts.map((part, rank) => [part, rank]));
  const half = layout.catalog.unitsPerTile / 2;
  for (const member of members) {
    const carrier = network.carriers[member];
    const rank = rankOf.get(carrier.part);
    invariant(rank !== undefined, 'every carrier has its place in the order of moves', { carrier: member });
    const add = (role: Segment['role'], length: readonly [number, number]): number => {
      const fresh = { link: Link.nothing, to: -1, joinSide: -1, exit: -1, up: -1, track: -1 };
      segments.push({ carrier, role, length, rank, offset: [0, 0], ...fresh });
      return segments.length - 1;
    };
    if (carrier.kind === 'splitter-half') {
      inputOf.set(member, add('input', [half, half]));
      outputOf.set(member, add('output', [half, half]));
    } else {
      invariant(carrier.leftLength > 0 && carrier.rightLength > 0, 'lanes have a length', { carrier: member });
      const whole = add('whole', [carrier.leftLength, carrier.rightLength]);
      inputOf.set(member, whole);
      outputOf.set(member, whole);
    }
  }
  segments.forEach((segment, index) => {
    if (segment.role === 'input') {
      segment.link = Link.line;
      return;
    }
    const next = segment.carrier.next;
    if (next.kind === 'exit') {
      segment.link = Link.exit;
      segment.exit = next.exit;
    } else if (next.kind === 'carrier') {
      const to = inputOf.get(next.carrier);
      invariant(to !== undefined, 'a piece holds all that it passes to', { carrier: next.carrier });
      segment.to = to;
      if (next.entry === 'behind' || next.entry === 'turn') {
        segment.link = Link.onward;
        segments[to].up = index;
      } else {
        segment.link = Link.tee;
        segment.joinSide = next.entry === 'tee-left' ? LEFT : RIGHT;
      }
    }
  });
  return { segments, inputOf, outputOf };
}
