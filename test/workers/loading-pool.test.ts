/** Threads that help with the search for a loading station, by what the package was built to: the answer is that of one. */
import { describe, expect, it } from 'vitest';
import type { Brief } from '../../src/brief/brief.js';
import { layoutCost } from '../../src/layout/layout.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { filesIn, nameOf } from '../../bench/cases.js';
import { designLoading } from '../../src/synthesis/loading/loading-design.js';
import { LoadingHelper, counter, type LoadingAnswer } from '../../src/synthesis/loading/loading-shares.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { openLoadingPool } from '../../src/workers/loading-pool.js';
import { briefOf, loadJobOf } from '../documents.js';
import { startsOf } from '../synthesis/share-cases.js';

const WORKER = new URL('../../dist/workers/loading-worker.js', import.meta.url).href;

/** Designs of these take many seconds. */
const LONG = ['loading-13-two-belts-040-6x5', 'loading-16-080-6x6'];
const CASES = filesIn('test/cases').map(nameOf).filter((name) => name.startsWith('loading-') && !LONG.includes(name));

/** With so many threads, by a clock that moves on whenever it is asked for. */
async function designed(brief: Brief, workers: number): Promise<DesignOutcome> {
  let clock = 0;
  const pool = workers > 1 ? openLoadingPool(WORKER, workers - 1, brief, startsOf(brief)) : undefined;
  return designLoading(brief, loadJobOf(brief), {
    verify: loadingVerifier(startsOf(brief)),
    helpers: () => pool,
    now: () => (clock += 25),
    shouldStop: () => false,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
  }).finally(() => pool?.close());
}

const gistOf = ({ status, proof: { bound, cost, rounds }, ...rest }: DesignOutcome): object => ({ status, bound, cost, rounds, plan: 'layout' in rest ? writePlan(rest.layout) : undefined });

describe.each(CASES)('%s', (name) => {
  it('has the same station with 1, 2 and 3 threads', { timeout: 120_000 }, async () => {
    const brief = briefOf(`test/cases/${name}.json`);
    const alone = gistOf(await designed(brief, 1));
    expect(alone).toMatchObject({ status: 'optimal' });
    expect(gistOf(await designed(brief, 2))).toEqual(alone);
    expect(gistOf(await designed(brief, 3))).toEqual(alone);
  });
});

describe('threads that share a price', () => {
  const brief = briefOf('test/cases/loading-18-two-belts-030-side-emptied-6x6.json');
  const gist = (answers: readonly LoadingAnswer[]): object => ({
    next: Math.min(...answers.map(({ next }) => next)),
    stopped: answers.some(({ stopped }) => stopped),
    costs: [...new Set(answers.flatMap(({ better }) => (better === undefined ? [] : [layoutCost(better)])))],
    entries: [...new Set(answers.flatMap(({ better }) => (better === undefined ? [] : [JSON.stringify(better.entries?.map(({ heading }) => heading))])))],
  });

  it.each([1, 2, 3])('find together what one search finds (%i of them)', { timeout: 120_000 }, async (count) => {
    const alone = new LoadingHelper(brief, loadJobOf(brief), loadingVerifier(startsOf(brief)), () => false);
    const pool = openLoadingPool(WORKER, count, brief, startsOf(brief));
    try {
      for (const price of [38, 52, 53, 54]) {
        const one = alone.answer({ price, taken: counter(), own: counter(), known: [] });
        const taken = counter();
        const owns = Array.from({ length: count }, counter);
        const all = await Promise.all(owns.map((own, index) => pool.search({ price, taken, own, known: [] }, index)));
        expect(gist(all)).toEqual(gist([one]));
        expect(owns.reduce((sum, [took]) => sum + took, 0)).toBe(taken[0]);
        expect(one.better !== undefined).toBe(price === 54);
      }
      pool.stop();
      expect((await pool.search({ price: 54, taken: counter(), own: counter(), known: [] }, 0)).stopped).toBe(true);
    } finally {
      await pool.close();
    }
  });
});
