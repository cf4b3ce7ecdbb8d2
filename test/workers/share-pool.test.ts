/** Shares of a search that threads take, by what the package was built to: together they find what one search finds. */
import { describe, expect, it } from 'vitest';
import { verifierOf } from '../../src/pipeline.js';
import { WHOLE } from '../../src/synthesis/carriers/share.js';
import { NONE_LONG } from '../../src/synthesis/crews/crew-shares.js';
import { ShareSearch } from '../../src/synthesis/families/share-search.js';
import { openSharePool } from '../../src/workers/share-pool.js';
import { CASES, briefOfCase, gist, startsOf, taskOf } from '../synthesis/share-cases.js';

const WORKER = new URL('../../dist/workers/share-worker.js', import.meta.url).href;

describe.each(CASES)('threads that share the search for $name, $exits served', (of) => {
  it.each([2, 3])('find what one search finds, whatever they know by then (%i of them)', async (threads) => {
    const brief = briefOfCase(of);
    const alone = new ShareSearch(brief, verifierOf(startsOf(brief)), () => false);
    const pool = openSharePool(WORKER, threads, brief, startsOf(brief));
    try {
      for (const carriers of of.prices) {
        const task = taskOf(of, carriers);
        const one = alone.answer({ ...task, long: NONE_LONG, share: WHOLE });
        expect(gist(await pool.take({ ...task, known: one.ruledOut }))).toEqual(gist([one]));
      }
      pool.stop();
      const stopped = await pool.take(taskOf(of, Math.max(...of.prices) + 2));
      expect(stopped.some((answer) => answer.stopped)).toBe(true);
    } finally {
      await pool.close();
    }
  });
});
