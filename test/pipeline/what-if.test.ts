/**
 * Several design runs for one question: which of them progress is of, and that one which is asked for again goes on from
 * where it was stopped.
 */
import { describe, expect, it } from 'vitest';
import { progressText } from '../../src/cli/commands/design.js';
import { designMostFill, findStaircase, mostFillDocument, type StaircaseRange } from '../../src/tasks/what-if.js';
import type { DesignProgress } from '../../src/synthesis/outcome.js';
import { briefOf } from '../documents.js';

const TINY = 'test/cases/suite-03-one-belt-060-4x5.json';

describe('progress of several runs', () => {
  const told = async (range: StaircaseRange): Promise<readonly (string | undefined)[]> => {
    const seen = new Set<string | undefined>();
    await findStaircase(briefOf(TINY), range, { now: () => performance.now(), onProgress: ({ of }) => void seen.add(of) });
    return [...seen];
  };

  it('says which fill each is for', async () => {
    const [first, second] = await told({ over: 'fill' });
    expect(first).toBe('fill 30.0 %');
    expect(second).toMatch(/^fill above \d/);
  });

  it('says which size each is for', async () => {
    expect(await told({ over: 'depth', from: 4, to: 5 })).toEqual(['depth 4', 'depth 5']);
    expect((await told({ over: 'arms' }))[0]).toBe('any number of arms');
    expect((await told({ over: 'arms', to: 5 }))[0]).toBe('at most 5 arms');
  });

  it('is one line, with that first', () => {
    const progress: DesignProgress = { bound: 40, best: 50, round: 3, simulations: 20 };
    expect(progressText(progress)).toBe('at least 40, best so far 50, round 3, 20 simulated');
    expect(progressText({ ...progress, of: 'depth 4' })).toBe('depth 4: at least 40, best so far 50, round 3, 20 simulated');
  });
});

describe('the greatest fill', () => {
  it('goes on from what its first look at saturation knows', async () => {
    // Once it has a station, all of its time has gone by.
    const rounds: number[] = [];
    let gone = 0;
    const onProgress = ({ best, round }: DesignProgress): void => {
      if (best !== undefined) gone = 60_000;
      rounds.push(round);
    };
    let time = 0;
    const answer = await designMostFill(briefOf(TINY), { now: () => (time += 1) + gone, onProgress });
    expect([gone, answer.greatest.best?.proven]).toEqual([60_000, true]);
    const atFirst = rounds[0];
    expect(rounds.filter((round) => round === atFirst)).toHaveLength(rounds.lastIndexOf(atFirst) + 1);
    expect(rounds.at(-1)).toBeGreaterThan(atFirst);
    expect(JSON.stringify(mostFillDocument(answer))).not.toContain('resumed');
  });
});
