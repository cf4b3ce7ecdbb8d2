/**
 * Crews searched price by price, by one share and by several: made up, with whatever prices their carriers may have. Each is
 * searched at each of its prices, by one share as a whole or by all in parts, and the next price is the least that is left.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { WHOLE, type Share } from '../../src/synthesis/carriers/share.js';
import { CrewMemories, searchCrews } from '../../src/synthesis/crews/crew-prices.js';
import type { CrewTests } from '../../src/synthesis/crews/crew-search.js';
import { CrewShares, NONE_LONG, allCrews, byFirstArms, joinLong, type LongOnes } from '../../src/synthesis/crews/crew-shares.js';
import { crewKey, type Crew } from '../../src/synthesis/site/crew.js';

const SHARES = 3;
const MOST = 6;

interface Priced {
  readonly crew: Crew;
  /** Of carriers, at which it has networks; rising. */
  readonly prices: readonly number[];
}

/** Crews by groups within groups, the inner ones by the first two arms. */
type Groups = readonly (readonly (readonly Priced[])[])[];

const groupsOf = (prices: readonly (readonly (readonly (readonly number[])[])[])[]): Groups => {
  let tile = 0;
  const crewOf = (): Crew => ({ chests: [], arms: [{ tile: tile++, heading: 0, model: 0, role: 'load', chest: -1, target: 500 - tile }] });
  return prices.map((outer) => outer.map((inner) => inner.map((some) => ({ crew: crewOf(), prices: [...new Set(some)].sort((a, b) => a - b) }))));
};

function* crewsOf(groups: Groups, { mayHold, close, affordable }: CrewTests): Generator<Crew, void> {
  for (const [i, outer] of groups.entries()) {
    if (!mayHold(`.${i}`)) continue;
    for (const [j, inner] of outer.entries()) {
      if (!mayHold(`.${i}.${j}`)) continue;
      for (const { crew } of inner) if (affordable(crew, true)) yield crew;
      close();
    }
    close();
  }
}

interface Run {
  readonly crew: Crew;
  readonly price: number;
  readonly share: Share;
}

/** A search that finds what is made up, and notes what was asked of it. */
class MadeUp {
  steps = 0;
  readonly runs: Run[] = [];

  constructor(private readonly all: readonly Priced[]) {}

  /** A bound that is not always tight. */
  readonly leastCost = (crew: Crew): number => this.pricesOf(crew)[0] - (crew.arms[0].tile % 2);

  readonly run = (crew: Crew, _splitters: readonly number[], price: number, share: Share): number => {
    this.runs.push({ crew, price, share });
    // At each price a crew falls into other parts.
    const isPart = (own: number): boolean => share === WHOLE || (own + price + crew.arms[0].tile) % SHARES === share.index;
    return this.pricesOf(crew).find((own) => own > price && isPart(own)) ?? Infinity;
  };

  private pricesOf(crew: Crew): readonly number[] {
    return this.all.find((priced) => priced.crew.arms[0].tile === crew.arms[0].tile)?.prices ?? [];
  }
}

/** The next price after one share's search at a price. */
function nextOf(search: MadeUp, groups: Groups, price: number, memories: CrewMemories, shares: CrewShares): number {
  const pass = searchCrews(search, (tests) => crewsOf(groups, tests), [], price, memories, shares, () => false);
  for (;;) {
    const step = pass.next();
    if (step.done === true) return step.value;
  }
}

const prices = fc.array(fc.integer({ min: 1, max: MOST }), { minLength: 1, maxLength: 4 });
const groups = fc.array(fc.array(fc.array(prices, { maxLength: 4 }), { maxLength: 3 }), { minLength: 1, maxLength: 3 }).map(groupsOf);

describe('crews searched price by price', () => {
  it('are searched at each of their prices, by one share or by all', () => {
    fc.assert(
      fc.property(groups, fc.integer(), (made, seed) => {
        const random = seededRandom(seed);
        const all = made.flat(2);
        const inner = made.flatMap((outer, i) => outer.map((_, j) => `.${i}.${j}`));
        const names = all.map(({ crew }) => crewKey(crew));
        const few = <T>(some: readonly T[]): readonly T[] => some.filter(() => random(4) === 0);
        const searches = Array.from({ length: SHARES }, () => ({ search: new MadeUp(all), memories: new CrewMemories() }));
        const alone = { search: new MadeUp(all), memories: new CrewMemories() };
        let long: LongOnes = NONE_LONG;
        for (let price = 1; price <= MOST; ) {
          // Whichever share may come first.
          const taken = new Int32Array(64).map(() => 1 + random(SHARES));
          const shares = searches.map((_, index) => new CrewShares({ index, of: SHARES, taken }, byFirstArms, long));
          const next = Math.min(...searches.map(({ search, memories }, index) => nextOf(search, made, price, memories, shares[index])));
          expect(nextOf(alone.search, made, price, alone.memories, allCrews())).toBe(next);
          for (const { crew, prices: own } of all) {
            if (!own.includes(price)) continue;
            const runs = searches.flatMap(({ search }) => search.runs).filter((run) => run.price === price && run.crew.arms[0].tile === crew.arms[0].tile);
            const parts = runs.map(({ share }) => share).filter((share) => share !== WHOLE);
            expect(runs.length - parts.length + (parts.length === SHARES ? 1 : 0)).toBe(1);
          }
          if (next === Infinity) return;
          long = joinLong([long, { groups: few(inner), loose: few(names), divided: few(names) }]);
          price = next;
        }
      }),
      { numRuns: 1_000 },
    );
  });
});
