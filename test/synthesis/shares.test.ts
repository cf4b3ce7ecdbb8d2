/**
 * Shares of a search, taken one by one and by threads: together they find what one search finds, and leave
 * the same price to try next. The threads run what the package was built to.
 */
import { describe, expect, it } from 'vitest';
import { layoutCost } from '../../src/layout/layout.js';
import type { Brief } from '../../src/brief/brief.js';
import { verifierOf } from '../../src/pipeline.js';
import { WHOLE, type Share } from '../../src/synthesis/carriers/share.js';
import { CrewMemories } from '../../src/synthesis/crews/crew-prices.js';
import { chestsOf } from '../../src/synthesis/crews/crew-search.js';
import { BestSoFar } from '../../src/synthesis/families/best-so-far.js';
import { CrewShares } from '../../src/synthesis/families/crew-shares.js';
import { FamilySearch } from '../../src/synthesis/families/family-search.js';
import { ShareSearch, type ShareAnswer, type ShareTask, type WholeTask } from '../../src/synthesis/families/share-search.js';
import { Judge } from '../../src/synthesis/networks/judge.js';
import { NetworkCosts, type PriceSearched } from '../../src/synthesis/networks/network-costs.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import { crewKey, type Crew } from '../../src/synthesis/site/crew.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { openSharePool } from '../../src/workers/share-pool.js';
import { briefOf } from '../documents.js';

const WORKER = new URL('../../dist/workers/share-worker.js', import.meta.url).href;

const startsOf = (brief: Brief) => ({ starts: brief.starts, seed: 1, tickLimit: 60_000 });
const FLOOR = { least: 0, mostNetworks: 1, moreAt: Infinity };

/** Bills with the cost of their other parts, prices of carriers, how many of these find a new best station, and how many exits are served. */
const CASES: readonly (readonly [name: string, bill: ShareTask['bill'], fixed: number, carriers: readonly number[], found: number, exits: number])[] = [
  ['headline-060', { chests: 1, fills: [1], loads: [2], splitters: [0] }, 34, [8, 9, 10], 1, 1],
  ['headline-085', { chests: 1, fills: [1], loads: [3], splitters: [1] }, 52, [8, 9], 0, 1],
  // So many ways of placing three chests that shares are of these.
  ['suite-54-three-belts-060-three-wagons-18x8', { chests: 3, fills: [3], loads: [3], splitters: [0] }, 72, [8, 9], 1, 1],
  ['suite-54-three-belts-060-three-wagons-18x8', { chests: 3, fills: [3], loads: [4], splitters: [2] }, 98, [10, 11], 0, 3],
];

const taskOf = (bill: ShareTask['bill'], fixed: number, carriers: number): WholeTask => ({
  of: 'layouts',
  family: 0,
  bill,
  carriers,
  price: fixed + carriers,
  floor: FLOOR,
  known: [],
  best: undefined,
});

const gist = (answers: readonly ShareAnswer[]): object => ({
  next: Math.min(...answers.map(({ next }) => next)),
  costs: [...new Set(answers.flatMap(({ better }) => (better === undefined ? [] : [layoutCost(better)])))],
  exits: [...new Set(answers.flatMap(({ better }) => better?.exits.map(({ heading }) => heading) ?? []))],
});

describe.each(CASES)('shares of the search for %s', (name, bill, fixed, prices, finds, exits) => {
  const all = briefOf(`test/cases/${name}.json`);
  const brief = { ...all, exits: all.exits.slice(0, exits) };
  const searcher = (): ShareSearch => new ShareSearch(brief, verifierOf(startsOf(brief)), () => false);

  it('find together what one search finds', { timeout: 60_000 }, () => {
    const alone = searcher();
    const three = [searcher(), searcher(), searcher()];
    const divided = new Set<string>();
    let found = 0;
    for (const carriers of prices) {
      const task = taskOf(bill, fixed, carriers);
      const one = alone.answer({ ...task, divided: [], share: { index: 0, of: 1 } });
      const shares = three.map((each, index) => each.answer({ ...task, divided: [...divided], share: { index, of: three.length } }));
      for (const { long } of shares) for (const name of long) divided.add(name);
      expect(gist(shares)).toEqual(gist([one]));
      if (one.better !== undefined) found++;
    }
    expect(found).toBe(finds);
  });

  it('find the same on threads, whatever those know by then', { timeout: 60_000 }, async () => {
    const alone = searcher();
    const pool = openSharePool(WORKER, 2, brief, startsOf(brief));
    try {
      for (const carriers of prices) {
        const task = taskOf(bill, fixed, carriers);
        const one = alone.answer({ ...task, divided: [], share: { index: 0, of: 1 } });
        expect(gist(await pool.take({ ...task, known: one.ruledOut }))).toEqual(gist([one]));
      }
      pool.stop();
      const stopped = await pool.take(taskOf(bill, fixed, Math.max(...prices) + 2));
      expect(stopped.some((answer) => answer.stopped)).toBe(true);
    } finally {
      await pool.close();
    }
  });
});

describe('crews dealt out by their chests, or one by one', () => {
  const MANY = 5_000;
  const FEW = 10;
  const crewOf = (...tiles: readonly number[]): Crew => ({
    chests: tiles.map((tile) => ({ tile, model: 0 })),
    arms: tiles.map((tile, chest) => ({ tile: tile + 10, heading: 0, model: 0, role: 'load', chest, target: tile + 20 })),
  });
  const crews = Array.from({ length: 200 }, (_, n) => crewOf(n, n + 7, n + 40));
  const [long] = crews;
  const sharesOf = (divided: readonly string[], chestSets = MANY): readonly CrewShares[] =>
    [0, 1, 2].map((index) => new CrewShares({ index, of: 3 }, chestSets, new Set(divided)));
  /** The parts of a crew's networks that shares have. */
  const partsOf = (shares: readonly CrewShares[], crew: Crew): readonly Share[] =>
    shares.flatMap((each) => (each.mayHold(chestsOf(crew)) ? (each.shareOf(crew) ?? []) : []));
  const allParts = [0, 1, 2].map((index) => ({ index, of: 3 }));

  it.each([
    ['by chests', [], MANY],
    ['one by one where chests are divided', crews.map(chestsOf), MANY],
    ['one by one where chests can stand in few ways', [], FEW],
  ])('belong to one share whole: %s', (_, divided, chestSets) => {
    const shares = sharesOf(divided, chestSets);
    for (const crew of crews) expect(partsOf(shares, crew)).toEqual([WHOLE]);
    // Each share has some of them.
    for (const each of shares) expect(crews.filter((crew) => partsOf([each], crew).length > 0).length).toBeGreaterThan(30);
  });

  it('belong to all shares in parts where they are divided', () => {
    expect(partsOf(sharesOf([chestsOf(long), crewKey(long)]), long)).toEqual(allParts);
    expect(partsOf(sharesOf([crewKey(long)], FEW), long)).toEqual(allParts);
  });

  it('are to be divided once they took long, unless they are: first their chests, then those that took much of it all', () => {
    const [, one, other] = crews;
    const [share] = sharesOf([chestsOf(long), chestsOf(other), crewKey(other)]);
    for (let n = 0; n < 3; n++) {
      share.note(one, 400);
      expect(share.long).toEqual(n < 2 ? [] : [chestsOf(one)]);
    }
    share.note(other, 90_000);
    share.note(long, 5_000);
    expect(share.long).toEqual([chestsOf(one)]);
    share.note(long, 50_000);
    expect(share.long).toEqual([chestsOf(one), crewKey(long)]);
  });

  it('that are divided are looked at by shares that had passed them over', { timeout: 60_000 }, () => {
    const memories = new CrewMemories();
    memories.groups.set('1.2', Infinity);
    memories.allowDivided(0);
    expect(memories.groups.size).toBe(1);
    memories.allowDivided(1);
    expect(memories.groups.size).toBe(0);
  });
});

const LONG: readonly (readonly [what: string, name: string, bill: ShareTask['bill'], carriers: number, mostNetworks: number])[] = [
  ['because of one crew', 'suite-42-two-belts-085-6x8', { chests: 2, fills: [2], loads: [4], splitters: [3] }, 18, 2],
  ['with three exits', 'suite-53-three-belts-060-12x8', { chests: 3, fills: [3], loads: [5], splitters: [2] }, 15, 1],
];

describe.each(LONG)('shares of a search that takes long %s', (_, name, bill, carriers, mostNetworks) => {
  const brief = briefOf(`test/cases/${name}.json`);
  const map = siteMap(brief, 'cost');
  /** The steps of a share, and the crews that took much of them. */
  const stepsOf = (share: Share, divided?: ReadonlySet<string>): { readonly steps: number; readonly long: readonly string[] } => {
    const judge = new Judge(verifierOf(startsOf(brief)), () => undefined, brief);
    const search = new FamilySearch(map, candidates(map), judge, new BestSoFar(brief, () => undefined), () => false);
    const asked = { bill, carriers, price: carriers + 92, floor: { ...FLOOR, mostNetworks }, first: undefined };
    const pass = search.settle(asked, new CrewMemories(), share, divided);
    while (pass.next().done !== true);
    return { steps: search.carriers.steps, long: search.long };
  };

  it('take about as long each, and little more together than one', { timeout: 60_000 }, () => {
    const whole = stepsOf(WHOLE).steps;
    const shares = [0, 1].map((index) => ({ index, of: 2 }));
    const divided = new Set(shares.flatMap((share) => stepsOf(share).long));
    const [one, other] = shares.map((share) => stepsOf(share, divided).steps);
    expect(Math.max(one, other)).toBeLessThan(0.7 * whole);
    expect(one + other).toBeLessThan(1.3 * whole);
  });
});

/** Bills, the most that carriers may cost, and whether a network is found by then. */
const TOGETHER: readonly (readonly [name: string, bill: ShareTask['bill'], most: number, found: boolean])[] = [
  ['suite-54-three-belts-060-three-wagons-18x8', { chests: 3, fills: [3], loads: [4], splitters: [2] }, 13, false],
  ['suite-50-three-belts-030-9x8', { chests: 2, fills: [2], loads: [3], splitters: [2] }, 11, true],
];

describe.each(TOGETHER)('shares of the search for networks of all exits of %s', (name, bill, most, found) => {
  const brief = briefOf(`test/cases/${name}.json`);
  const costs = (): NetworkCosts => new NetworkCosts(brief, 'cost', new Judge(verifierOf(startsOf(brief)), () => undefined, brief), () => false);
  const ended = (search: Generator<void, PriceSearched>): PriceSearched => {
    for (;;) {
      const step = search.next();
      if (step.done === true) return step.value;
    }
  };

  it('come together to what one search comes to', { timeout: 60_000 }, () => {
    const [alone, asking] = [costs(), costs()];
    const shares = [0, 1, 2].map((index) => ({ share: { index, of: 3 }, costs: costs() }));
    let searched = 0;
    for (let price = asking.openTogether(bill, most); price !== undefined; price = asking.openTogether(bill, most)) {
      expect(alone.openTogether(bill, most)).toBe(price);
      const all = shares.map(({ share, costs: of }) => ended(of.searchTogether(bill, price, share)));
      asking.noteTogether(bill, all);
      alone.noteTogether(bill, [ended(alone.searchTogether(bill, price, WHOLE))]);
      searched++;
    }
    expect(alone.openTogether(bill, most)).toBeUndefined();
    expect(searched).toBeGreaterThan(2);
    expect(asking.floor(bill, most)).toEqual(alone.floor(bill, most));
    expect(asking.floor(bill, most).least > most).toBe(!found);
  });
});
