/**
 * Shares of a search: together they find what one search finds, and leave the same price to try next. TRANSLOOM_SEED sets
 * which share comes first where whoever does has it all. Shares that threads take are in `test/workers/`.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { verifierOf } from '../../src/pipeline.js';
import { WHOLE, placesToTake, type Share } from '../../src/synthesis/carriers/share.js';
import { CrewMemories } from '../../src/synthesis/crews/crew-prices.js';
import { chestsOf } from '../../src/synthesis/crews/crew-search.js';
import { CrewShares, NONE_LONG, byChests, byFirstArms, joinLong, type CrewPart, type LongOnes } from '../../src/synthesis/crews/crew-shares.js';
import { BestSoFar } from '../../src/synthesis/families/best-so-far.js';
import { FamilySearch } from '../../src/synthesis/families/family-search.js';
import { ShareSearch } from '../../src/synthesis/families/share-search.js';
import { Judge } from '../../src/synthesis/networks/judge.js';
import { NetworkCosts } from '../../src/synthesis/networks/network-costs.js';
import { taskOf as taskOfKind, type PriceSearched } from '../../src/synthesis/networks/network-kinds.js';
import type { Bill } from '../../src/synthesis/site/bill.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import { crewKey, type Crew } from '../../src/synthesis/site/crew.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { briefOf } from '../documents.js';
import { CASES, FLOOR, briefOfCase, gist, startsOf, taskOf } from './share-cases.js';

let seed = Number(process.env['TRANSLOOM_SEED'] ?? 1);

/** Shares of which each place was taken before any begins, by one of them drawn at random: whatever threads may come to. */
function sharesDrawn(of: number, draw = seed++): readonly Share[] {
  const random = seededRandom(draw);
  const taken = placesToTake().map(() => 1 + random(of));
  return Array.from({ length: of }, (_, index) => ({ index, of, taken }));
}

const namedIn = (long: LongOnes): readonly string[] => Object.entries(long).flatMap(([what, names]: readonly [string, readonly string[]]) => (names.length > 0 ? [what] : []));

describe.each(CASES)('shares of the search for $name, $exits served', (of) => {
  it('find together what one search finds', () => {
    const brief = briefOfCase(of);
    const searcher = (): ShareSearch => new ShareSearch(brief, verifierOf(startsOf(brief)), () => false);
    const alone = searcher();
    const three = [searcher(), searcher(), searcher()];
    let long = NONE_LONG;
    let found = 0;
    for (const carriers of of.prices) {
      const task = taskOf(of, carriers);
      const one = alone.answer({ ...task, long: NONE_LONG, share: WHOLE });
      const drawn = sharesDrawn(three.length);
      const shares = three.map((each, index) => each.answer({ ...task, long, share: drawn[index] }));
      long = joinLong([long, ...shares.map((share) => share.long)]);
      expect(gist(shares)).toEqual(gist([one]));
      if (one.better !== undefined) found++;
    }
    expect(found).toBe(of.finds);
    expect(namedIn(long)).toEqual(of.long);
  });
});

describe('crews dealt out by groups, or one by one', () => {
  const crewOf = (...tiles: readonly number[]): Crew => ({
    chests: tiles.map((tile) => ({ tile, model: 0 })),
    arms: tiles.map((tile, chest) => ({ tile: tile + 10, heading: 0, model: 0, role: 'load', chest, target: tile + 20 })),
  });
  const crews = Array.from({ length: 200 }, (_, n) => crewOf(n, n + 7, n + 40));
  const [one, other] = crews;
  const sharesOf = (long: Partial<LongOnes>, chestSets = 5_000): readonly CrewShares[] =>
    sharesDrawn(3).map((share) => new CrewShares(share, byChests(chestSets), { ...NONE_LONG, ...long }));
  /** What shares have of a crew. */
  const partsOf = (shares: readonly CrewShares[], crew: Crew): readonly CrewPart[] =>
    shares.flatMap((each) => (each.mayHold(chestsOf(crew)) ? each.partOf(crew) : [])).filter((part) => part !== 'none');

  it.each([
    ['by chests', {}, 5_000],
    ['one by one where groups took long', { groups: crews.map(chestsOf) }, 5_000],
    ['one by one where chests can stand in few ways', {}, 10],
  ])('belong to one share whole: %s', (_, long, chestSets) => {
    const shares = sharesOf(long, chestSets);
    for (const crew of crews) expect(partsOf(shares, crew)).toEqual(['own']);
    // Each share has some of them.
    for (const each of shares) expect(crews.filter((crew) => partsOf([each], crew).length > 0).length).toBeGreaterThan(30);
  });

  it('belong to all shares where they took long, in parts or to whoever takes them', () => {
    const long = { groups: [one, other].map(chestsOf), loose: [one, other].map(crewKey), divided: [crewKey(other)] };
    for (const shares of [sharesOf(long), sharesOf({ ...long, groups: [] }, 10)]) {
      expect(partsOf(shares, one)).toEqual(['loose', 'loose', 'loose']);
      expect(partsOf(shares, other)).toEqual(['divided', 'divided', 'divided']);
      expect(shares.filter((each) => each.takes(one)).length).toBe(1);
    }
  });

  it('are taken by the first share that comes to them, and no other', () => {
    const taken = placesToTake();
    const [first, second] = [0, 1].map((index) => new CrewShares({ index, of: 2, taken }, byChests(10), NONE_LONG));
    expect([first.takes(one), second.takes(one), second.takes(other), first.takes(other), first.takes(one)]).toEqual([true, false, true, false, true]);
  });

  it('took long as groups, and as crews where that was a good part of the time, or much of it', () => {
    const [share] = sharesOf({ groups: [one, other].map(chestsOf), divided: [crewKey(other)] });
    const note = (crew: Crew, part: CrewPart, steps: number): void => {
      share.mayHold(chestsOf(crew));
      share.note(crew, part, steps);
    };
    const own = crews.find((crew, n) => n > 1 && partsOf([share], crew).length > 0) ?? one;
    for (let n = 0; n < 3; n++) {
      note(own, 'own', 400);
      expect(share.long).toEqual({ ...NONE_LONG, groups: n < 2 ? [] : [chestsOf(own)] });
    }
    note(other, 'divided', 30_000);
    note(one, 'own', 1_500);
    const groups = [own, one].map(chestsOf);
    expect(share.long).toEqual({ groups, loose: [crewKey(one)], divided: [] });
    note(one, 'loose', 12_000);
    expect(share.long).toEqual({ groups, loose: [crewKey(one)], divided: [crewKey(one)] });
  });

  it('begin with the same two arms where load crews are dealt out by groups', () => {
    expect(['.3', '.3.17', '.3.17.20', '4,6', '4,6.1'].filter(byFirstArms)).toEqual(['.3.17']);
  });

  it('that took long are looked at by shares that had passed them over', () => {
    const memories = new CrewMemories();
    memories.groups.set('1.2', Infinity);
    memories.allowNamed(0);
    expect(memories.groups.size).toBe(1);
    memories.allowNamed(1);
    expect(memories.groups.size).toBe(0);
  });
});

const LONG: readonly (readonly [what: string, name: string, bill: Bill, carriers: number, mostNetworks: number])[] = [
  ['because of one crew', 'suite-42-two-belts-085-6x8', { chests: 2, fills: [2], loads: [4], splitters: [3] }, 18, 2],
  ['with three exits', 'suite-53-three-belts-060-12x8', { chests: 3, fills: [3], loads: [5], splitters: [2] }, 15, 1],
];

describe.each(LONG)('a search that takes long %s', (_, name, bill, carriers, mostNetworks) => {
  const brief = briefOf(`test/cases/${name}.json`);
  const map = siteMap(brief, 'cost');
  /** The steps of a share, and what took much of them. */
  const stepsOf = (share: Share, known = NONE_LONG): { readonly steps: number; readonly long: LongOnes } => {
    const judge = new Judge(verifierOf(startsOf(brief)), () => undefined, brief);
    const search = new FamilySearch(map, candidates(map), judge, new BestSoFar(brief, () => undefined), () => false);
    const asked = { bill, carriers, price: carriers + 92, floor: { ...FLOOR, mostNetworks }, first: undefined };
    const shares = new CrewShares(share, byChests(0), known);
    const pass = search.settle(asked, new CrewMemories(), shares);
    while (pass.next().done !== true);
    return { steps: search.carriers.steps, long: shares.long };
  };

  it.each([1, 2, 3])('falls into pieces so small that either share has a good part, and takes little more in all (draw %i)', (draw) => {
    const whole = stepsOf(WHOLE).steps;
    const shares = sharesDrawn(2, draw);
    const long = joinLong(shares.map((share) => stepsOf(share).long));
    const [one, other] = shares.map((share) => stepsOf(share, long).steps);
    expect(Math.max(one, other)).toBeLessThan(0.8 * whole);
    expect(one + other).toBeLessThan(1.3 * whole);
  });
});

/** Bills, the most that carriers may cost, whether a network is found by then, and what comes to be named long. */
const TOGETHER: readonly (readonly [name: string, bill: Bill, most: number, found: boolean, long: readonly string[]])[] = [
  ['suite-54-three-belts-060-three-wagons-18x8', { chests: 3, fills: [3], loads: [4], splitters: [2] }, 13, false, []],
  ['suite-53-three-belts-060-12x8', { chests: 3, fills: [3], loads: [5], splitters: [2] }, 14, false, ['groups', 'loose', 'divided']],
  ['suite-50-three-belts-030-9x8', { chests: 2, fills: [2], loads: [3], splitters: [2] }, 11, true, ['loose', 'divided']],
];

describe.each(TOGETHER)('shares of the search for networks of all exits of %s', (name, bill, most, found, named) => {
  const brief = briefOf(`test/cases/${name}.json`);
  const costs = (): NetworkCosts => new NetworkCosts(brief, 'cost', new Judge(verifierOf(startsOf(brief)), () => undefined, brief), () => false);
  const ended = (search: Generator<void, PriceSearched>): PriceSearched => {
    for (;;) {
      const step = search.next();
      if (step.done === true) return step.value;
    }
  };

  it('come together to what one search comes to', () => {
    const [alone, asking] = [costs(), costs()];
    const three = [costs(), costs(), costs()];
    let long = NONE_LONG;
    let searched = 0;
    for (let open = asking.openTogether(bill, most); open !== undefined; open = asking.openTogether(bill, most)) {
      const kind = taskOfKind(open);
      const own = alone.openTogether(bill, most);
      expect(own && taskOfKind(own)).toEqual(kind);
      const shares = sharesDrawn(3).map((share) => new CrewShares(share, byFirstArms, long));
      const all = shares.map((share, index) => ended(three[index].kinds.searchKind(kind, share)));
      long = joinLong([long, ...shares.map((share) => share.long)]);
      asking.kinds.note(open, all, 0);
      if (own !== undefined) alone.kinds.raise(own);
      searched++;
    }
    expect(alone.openTogether(bill, most)).toBeUndefined();
    expect(searched).toBeGreaterThan(2);
    expect(namedIn(long)).toEqual(named);
    expect(asking.floor(bill, most)).toEqual(alone.floor(bill, most));
    expect(asking.floor(bill, most).least > most).toBe(!found);
  });
});

it('of networks leave the least price that any of them leaves, unless one came upon a network', () => {
  const [[name, bill]] = TOGETHER;
  const brief = briefOf(`test/cases/${name}.json`);
  const costs = new NetworkCosts(brief, 'cost', new Judge(verifierOf(startsOf(brief)), () => undefined, brief), () => false);
  const open = costs.openTogether(bill, 20);
  expect(open?.kind).toMatchObject({ least: 0, found: false, steps: 0 });
  if (open === undefined) return;
  costs.kinds.note(open, [9, 7, 8].map((next) => ({ next, found: false })), 100);
  expect(open.kind).toMatchObject({ least: 7, found: false, steps: 100 });
  costs.kinds.note(open, [{ next: 9, found: false }, { next: 7, found: true }], 50);
  expect(open.kind).toMatchObject({ least: 7, found: true, steps: 150 });
});
