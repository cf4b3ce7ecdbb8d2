/**
 * Any repair at all, so that a search that is stopped has one to show and looks at nothing dearer: changes one after the
 * other, dives along the flow that the bound goes by, a layout from elsewhere; and whatever is found less what of it is
 * not needed. No part of the proof, which is in `mend.ts`.
 */
import type { Layout } from '../../layout/layout.js';
import type { MendBound } from './mend-bound.js';
import type { MendWitness } from './mend-outcome.js';
import { relevantTo, type Lack } from './mend-relevance.js';
import type { Repair } from './mend-steps.js';
import { keyOf, MendState, type Universe } from './mend-universe.js';

interface FirstRepairTools {
  /** Of the placements that stand: the whole trial, and one that may pass what fails. */
  readonly simulate: (standing: readonly number[]) => MendWitness;
  readonly glance: (standing: readonly number[]) => MendWitness;
  /** The least that any repair costs, as far as known. */
  readonly bound: () => number;
  readonly shouldStop: () => boolean;
}

/** How many changes on top of each other, and on how many layouts of either half. */
const WIDEN_CHANGES = 4;
const WIDEN_BREADTH = 12;
/** How often a dive bounds what it comes upon: the first one, and those from branches that greed has chosen. */
const FIRST_LOOKS = 400;
const LOOKS = 30;
const BREADTH = 3;
const FIRST_TRIES = 2000;
/** How many of them at once. */
const TRIES = 500;

/** What is looked for yields after each look, so that others have their turn: on large sites one takes long, and there are many. */
export type Looks = Generator<undefined, void>;

export class FirstRepairs {
  private best: Repair | undefined;
  /** How many layouts may still be simulated on mere suspicion. */
  private triesLeft = FIRST_TRIES;

  constructor(
    private readonly universe: Universe,
    private readonly bounds: MendBound,
    private readonly tools: FirstRepairTools,
  ) {}

  get cheapest(): Repair | undefined {
    return this.best;
  }

  /** Of the cheapest; Infinity while there is none. */
  get price(): number {
    return this.best?.price ?? Infinity;
  }

  /** One more layout may be simulated on mere suspicion. */
  allowOneMore(): void {
    this.triesLeft++;
  }

  /** Looks widely, from the plan on. */
  *widen(): Looks {
    yield* this.changeByChange();
    yield* this.dive(new MendState(this.universe), FIRST_LOOKS, BREADTH);
  }

  /** Looks a little way on from here. */
  *diveFrom(state: MendState): Looks {
    yield* this.dive(state, LOOKS, 1);
  }

  /**
   * Changes one after the other, of those that matter, going on from a few layouts each time: half of them what gives
   * most, half what seems to lack least.
   */
  private *changeByChange(): Looks {
    let front: readonly MendState[] = [new MendState(this.universe)];
    for (let changes = 1; changes <= WIDEN_CHANGES && front.length > 0; changes++) {
      const next = new Map<string, { readonly state: MendState; readonly reached: number; readonly least: number }>();
      for (const state of front) {
        const short = this.tools.glance(state.standing);
        if (short.verdict !== 'fails') continue;
        for (const changed of this.oneChangeMore(state, short.lack)) {
          yield;
          const key = changed.standing.join();
          if (changed.price >= this.price || next.has(key)) continue;
          const witness = this.tools.glance(changed.standing);
          if (witness.verdict === 'passes' && this.tools.simulate(changed.standing).verdict === 'passes') yield* this.offer(changed);
          if (witness.verdict !== 'fails') continue;
          next.set(key, { state: changed, reached: witness.reached, least: changed.price + this.bounds.least(changed, this.price - changed.price) });
        }
      }
      const open = [...next.values()].filter(({ least }) => least < this.price);
      const byReached = [...open].sort((a, b) => b.reached - a.reached || a.least - b.least);
      const byLeast = [...open].sort((a, b) => a.least - b.least || b.reached - a.reached);
      front = [...new Set([...byReached.slice(0, WIDEN_BREADTH), ...byLeast.slice(0, WIDEN_BREADTH)])].map(({ state }) => state);
    }
  }

  /** All that comes of one more change that matters to what a layout lacks, in place of what is in its way. */
  private oneChangeMore(state: MendState, lack: Lack): readonly MendState[] {
    const { universe } = this;
    const changes = this.changesOf(state);
    const free = state.copy();
    free.settled.set(universe.fixed);
    return relevantTo(universe, free, state.standing, lack).flatMap((id) => {
      const inTheWay = free.stands[id] === 1 ? [] : free.inTheWayOf(id);
      const others = changes.filter((each) => each !== id && !inTheWay.includes(each));
      const changed = this.changed(changes.includes(id) ? others : [...others, id]);
      return changed === undefined ? [] : [changed];
    });
  }

  /**
   * Looks for a repair along the flow that the bound goes by: puts one part there over which it goes, looks again, and
   * tries what gives enough by the bound. Returns the looks that are left of so many. No part of the proof.
   */
  private *dive(state: MendState, looks: number, breadth: number): Generator<undefined, number> {
    const { bounds } = this;
    const least = bounds.least(state, this.price - state.price);
    let left = looks - 1;
    if (state.price + least >= this.price) return left;
    if (least === 0) {
      yield* this.tryOneMore(state);
      return left;
    }
    const next: { readonly id: number; readonly changed: MendState; readonly least: number }[] = [];
    for (const id of bounds.used(state)) {
      if (left <= 0 || this.tools.shouldStop()) break;
      if (state.priceOf(id) === Infinity) continue;
      yield;
      left -= 1;
      const changed = state.copy();
      changed.change(id);
      next.push({ id, changed, least: changed.price + bounds.least(changed, this.price - changed.price) });
    }
    next.sort((a, b) => a.least - b.least || b.changed.price - a.changed.price || a.id - b.id);
    for (const { changed } of next.slice(0, breadth)) {
      if (left <= 0) break;
      left = yield* this.dive(changed, left, breadth);
    }
    return left;
  }

  /**
   * Where flows should suffice and do not: whether one more change does it, in place of earlier ones that are in its
   * way. No part of the proof.
   */
  private *tryOneMore(state: MendState): Looks {
    const { standing } = state;
    const first = this.tools.glance(standing);
    const witness = first.verdict === 'passes' ? this.tools.simulate(standing) : first;
    if (witness.verdict === 'passes') yield* this.offer(state);
    if (witness.verdict !== 'fails') return;
    const next = this.oneChangeMore(state, witness.lack);
    let left = Math.min(this.triesLeft, TRIES);
    this.triesLeft -= left;
    for (const changed of inTurn(next)) {
      if (changed.price >= this.price) continue;
      if (left-- <= 0 || this.tools.shouldStop()) break;
      yield;
      if (this.tools.glance(changed.standing).verdict !== 'passes') continue;
      if (this.tools.simulate(changed.standing).verdict === 'passes') yield* this.offer(changed);
    }
    this.triesLeft += Math.max(0, left);
  }

  private changesOf({ stands }: MendState): readonly number[] {
    const { placements, standing } = this.universe;
    return placements.flatMap((_, id) => ((stands[id] === 1) === id < standing ? [] : [id]));
  }

  /** Takes a repair that passes, less whatever of it is not needed, or can be had by one change in place of one or two. */
  *offer(state: MendState): Looks {
    if (state.price >= this.price) return;
    this.best = { standing: state.standing, price: state.price };
    const changes = this.changesOf(state);
    for (const without of changes) {
      if (this.tools.shouldStop()) return;
      yield;
      const less = this.changed(changes.filter((id) => id !== without));
      if (less !== undefined && less.price < this.price && this.tools.simulate(less.standing).verdict === 'passes') {
        yield* this.offer(less);
        return;
      }
    }
    // Each repair is cheaper than the one before, so there are not many.
    this.triesLeft = Math.max(this.triesLeft, FIRST_TRIES);
    const pairs = changes.flatMap((a, at) => changes.slice(at + 1).map((b) => [a, b]));
    for (const without of [...changes.map((id) => [id]), ...pairs]) {
      if (this.triesLeft <= 0 || this.tools.bound() >= this.price || this.tools.shouldStop()) return;
      yield;
      const less = this.changed(changes.filter((id) => !without.includes(id)));
      if (less !== undefined) yield* this.tryOneMore(less);
    }
  }

  /** The plan with these changes: parts that come first, which take what is in their way with them. */
  private changed(changes: readonly number[]): MendState | undefined {
    const { universe } = this;
    const state = new MendState(universe);
    for (const id of [...changes.filter((each) => each >= universe.standing), ...changes.filter((each) => each < universe.standing)]) {
      if (id < universe.standing && state.stands[id] === 0) continue;
      if (state.priceOf(id) === Infinity) return undefined;
      state.change(id);
    }
    return state;
  }

  /** A layout from elsewhere, if it is one of the space and passes. */
  *take(layout: Layout): Looks {
    const { placements, standing } = this.universe;
    const numbers = new Map(placements.map(({ part }, id) => [keyOf(part), id]));
    const ids = layout.parts.map((part) => numbers.get(keyOf(part)));
    if (ids.some((id) => id === undefined)) return;
    const there = new Set(ids.filter((id) => id !== undefined));
    const changes = placements.flatMap((_, id) => (there.has(id) === id < standing ? [] : [id]));
    const state = this.changed(changes);
    if (state !== undefined && state.price < this.price && this.tools.simulate(state.standing).verdict === 'passes') yield* this.offer(state);
  }
}

/** Cheap ones and dear ones by turns, for there are many cheap ones. */
function* inTurn<T extends { readonly price: number }>(all: readonly T[]): Generator<T> {
  const prices = [...new Set(all.map(({ price }) => price))].sort((a, b) => a - b);
  const rows = prices.map((price) => all.filter((each) => each.price === price));
  for (let at = 0; at < all.length; at++) for (const row of rows) if (at < row.length) yield row[at];
}
