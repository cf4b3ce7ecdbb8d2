/**
 * Searches for loading stations that are stopped, written as a file, read again and gone on with: the same answer, bound and
 * plan as without a stop, whenever they were stopped. Files of another search are refused where they are wrong.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { jsonText } from '../../src/base/json-text.js';
import type { Brief } from '../../src/brief/brief.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { designLoading } from '../../src/synthesis/loading/loading-design.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import { parseSearch, writeSearch, type RunState } from '../../src/synthesis/search-state.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { briefOf, gist, loadJobOf, sound, SEED } from '../documents.js';
import { tinyBrief } from '../oracles/every-loading-plan.js';

const SETTINGS = { version: '1.2.3', solver: 'none', seed: 1 };
const FULL = 'models/briefs/grain-load-full.json';

const verifier = (brief: Brief) => loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: 60_000 });

/** A portion by a clock that moves on whenever it is asked for (where it stands still, it stops between prices alone), and that ends when it was asked so often whether it should. */
async function portion(brief: Brief, asked: number, resumed?: RunState, milliseconds = 30): Promise<{ readonly outcome: DesignOutcome; readonly left: RunState | undefined }> {
  let left: RunState | undefined;
  let times = 0;
  let clock = 0;
  const outcome = await designLoading(brief, loadJobOf(brief), {
    verify: verifier(brief),
    now: () => (clock += milliseconds),
    shouldStop: () => ++times > asked,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    resumed,
    onUnfinished: (state) => {
      expect(left).toBeUndefined();
      left = state;
    },
  });
  return { outcome, left };
}

const read = (json: unknown, brief: Brief) => parseSearch(json, brief, SETTINGS, verifier(brief));

function readBack(text: string, brief: Brief): RunState {
  return sound(read(JSON.parse(text), brief));
}

const gistOf = ({ status, proof, ...rest }: DesignOutcome): object => ({
  status,
  bound: proof.bound,
  cost: proof.cost,
  plan: 'layout' in rest ? writePlan(rest.layout) : undefined,
});

const CASES: readonly (readonly [string, () => Brief, runs: number, longest: number, status: string])[] = [
  ['a wagon that is to be full in time', () => briefOf(FULL, { starts: 1 }), 6, 60, 'optimal'],
  ['a brief without a station', () => briefOf(FULL, { starts: 1, limits: { cost: 35 } }), 3, 20, 'infeasible'],
  ['a tiny brief', () => tinyBrief(43), 12, 8, 'optimal'],
];

describe.each(CASES)('a stopped search for %s', (_, briefAt, numRuns, longest, status) => {
  it('comes to the same end however often it is stopped', async () => {
    const brief = briefAt();
    const whole = await portion(brief, Infinity);
    expect(whole.outcome.status).toBe(status);
    expect(whole.left).toBeUndefined();
    let goneOn = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(fc.integer({ min: 1, max: longest }), { minLength: 1, maxLength: 4 }), async (moments) => {
        let state: RunState | undefined;
        for (const moment of moments) {
          const { outcome, left } = await portion(brief, moment, state);
          if (left === undefined) {
            expect(gistOf(outcome)).toEqual(gistOf(whole.outcome));
            return;
          }
          expect(['feasible', 'unknown']).toContain(outcome.status);
          expect(left.simulations).toBeGreaterThanOrEqual(state?.simulations ?? 0);
          const text = jsonText(writeSearch(left, brief, SETTINGS));
          state = readBack(text, brief);
          expect(jsonText(writeSearch(state, brief, SETTINGS))).toBe(text);
          goneOn++;
        }
        const { outcome, left } = await portion(brief, Infinity, state);
        expect(left).toBeUndefined();
        expect(outcome.proof.resumed).toBe(true);
        expect(gistOf(outcome)).toEqual(gistOf(whole.outcome));
      }),
      { seed: SEED, numRuns },
    );
    expect(goneOn).toBeGreaterThan(0);
  });
});

describe('a search that is stopped between two prices', () => {
  it('can be read again, whenever that is', async () => {
    const brief = briefOf('models/briefs/grain-load-060.json', { starts: 0, limits: {} });
    const between: number[] = [];
    for (let moment = 1; moment <= 5; moment++) {
      const { left } = await portion(brief, moment, undefined, 0);
      if (left === undefined) throw new Error('the search was to be stopped');
      expect(readBack(jsonText(writeSearch(left, brief, SETTINGS)), brief).restBound).toBe(left.restBound);
      expect(left.loading?.forests).toBe(0);
      between.push(left.restBound);
    }
    expect(new Set(between).size).toBe(5);
  });
});

describe('a saved search that does not fit', () => {
  it('is refused where it is wrong', async () => {
    const brief = briefOf(FULL, { starts: 1 });
    const { left } = await portion(brief, 30);
    if (left === undefined) throw new Error('the search was to be stopped');
    const { outcome } = await portion(brief, Infinity);
    const best = 'layout' in outcome ? outcome.layout : undefined;
    const file = JSON.parse(jsonText(writeSearch({ ...left, best }, brief, SETTINGS))) as Record<string, object>;
    const flaws = (changes: object, of = brief): readonly string[] => {
      const parsed = read({ ...file, ...changes }, of);
      return parsed.ok ? [] : gist(parsed.findings);
    };
    expect(flaws({})).toEqual([]);
    expect(flaws({ loading: undefined })).toEqual(['search-other-job']);
    expect(flaws({ rest: undefined })).toEqual(['search-price /loading/next']);
    expect(flaws({ loading: { forests: 1, next: 1 } })).toEqual(['search-price /loading/next']);
    expect(flaws({ price: 'parts' })).toEqual(['search-other-price /price']);
    expect(flaws({ solver: 'glpk' })).toEqual(['search-other-solver /solver']);
    expect(flaws({}, briefOf(FULL, { starts: 2 }))).toEqual(['search-other-brief /brief/starts']);
    const { parts, exits, entries } = file['best'] as { readonly parts: readonly { readonly kind: string }[]; readonly exits: object; readonly entries: object };
    expect(flaws({ best: { parts, exits, entries: [] } })).toEqual(['search-best /best']);
    const fewer = parts.filter((_, index) => index !== parts.findIndex(({ kind }) => kind === 'arm'));
    expect(flaws({ best: { parts: fewer, exits, entries } })).toEqual(['search-best /best']);
    const other = briefOf('test/cases/tiny-4x5-060.json', {});
    expect(flaws({ brief: undefined }, other).length).toBeGreaterThan(0);
  });
});
