/**
 * Shares of a search, taken one by one and by threads: together they find what one search finds, and leave
 * the same price to try next. The threads run what the package was built to.
 */
import { describe, expect, it } from 'vitest';
import { layoutCost } from '../../src/layout/layout.js';
import type { Brief } from '../../src/brief/brief.js';
import { verifierOf } from '../../src/pipeline.js';
import { ShareSearch, type ShareAnswer, type ShareTask } from '../../src/synthesis/families/share-search.js';
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

const taskOf = (bill: ShareTask['bill'], fixed: number, carriers: number): Omit<ShareTask, 'share'> => ({
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
    let found = 0;
    for (const carriers of prices) {
      const task = taskOf(bill, fixed, carriers);
      const one = alone.answer({ ...task, share: { index: 0, of: 1 } });
      const shares = three.map((each, index) => each.answer({ ...task, share: { index, of: three.length } }));
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
        const one = alone.answer({ ...task, share: { index: 0, of: 1 } });
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
