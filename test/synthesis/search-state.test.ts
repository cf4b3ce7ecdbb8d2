/**
 * Searches that are stopped, written as a file, read again and gone on with: the same answer, bound and plan as without
 * a stop, whenever they were stopped. Files that are damaged, or of another search, are refused where they are wrong.
 */
import fc from 'fast-check';
import { CrewMemories } from '../../src/synthesis/crews/crew-prices.js';
import { describe, expect, it } from 'vitest';
import { jsonText } from '../../src/base/json-text.js';
import type { Brief } from '../../src/brief/brief.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { verifierOf } from '../../src/pipeline.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { design } from '../../src/synthesis/design.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import { parseSearch, writeSearch, type RunState } from '../../src/synthesis/search-state.js';
import { briefOf, gist, sound, SEED } from '../documents.js';
import { mixedSeeds, tinyBrief } from '../oracles/random-briefs.js';

const glpk = await loadGlpkSolver();
const SETTINGS = { version: '1.2.3', solver: 'glpk', seed: 1 };

const caseOf = (name: string, changes: object = {}): Brief => briefOf(`test/cases/${name}.json`, changes);

const verifier = (brief: Brief) => verifierOf({ starts: brief.starts, seed: 1, tickLimit: 60_000 });

/** A portion that ends when it has been asked so often whether it should, and what it left. */
async function portion(brief: Brief, asked: number, resumed?: RunState): Promise<{ readonly outcome: DesignOutcome; readonly left: RunState | undefined }> {
  let left: RunState | undefined;
  let times = 0;
  // Time stands still, so that what is found by the way does not depend on it.
  const outcome = await design(brief, {
    solver: glpk,
    verify: verifier(brief),
    now: () => 0,
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

const textOf = (state: RunState, brief: Brief): string => jsonText(writeSearch(state, brief, SETTINGS));

function readBack(text: string, brief: Brief): RunState {
  return sound(parseSearch(JSON.parse(text), brief, SETTINGS, verifier(brief)));
}

const gistOf = (outcome: DesignOutcome): object => ({
  status: outcome.status,
  bound: outcome.proof.bound,
  cost: outcome.proof.cost,
  gap: outcome.proof.gap?.toFraction(),
  rounds: outcome.proof.rounds,
  plan: 'layout' in outcome ? writePlan(outcome.layout) : undefined,
});

/** `longest`: how often the longest portion asks at first, so that it ends within what the brief takes. */
const CASES: readonly (readonly [name: string, changes: object, runs: number, longest: number, status: string])[] = [
  ['tiny-4x5-100', {}, 4, 40, 'optimal'],
  ['tiny-4x6-060', { minimise: ['cost', 'footprint', 'parts'] }, 8, 10, 'optimal'],
  ['headline-060', {}, 6, 10, 'optimal'],
  ['suite-35-two-belts-030-6x8', {}, 2, 15, 'optimal'],
  // A run for the limit comes before the brief's own.
  ['suite-01-one-belt-030-4x5', { limits: { parts: 9 } }, 8, 8, 'optimal'],
  ['tiny-4x5-060', { minimise: ['parts', 'cost'], limits: { cost: 60 } }, 8, 30, 'optimal'],
  // No station meets these.
  ['tiny-4x5-060', { limits: { cost: 39 } }, 4, 3, 'infeasible'],
  ['tiny-4x5-060', { limits: { parts: 7 } }, 4, 8, 'infeasible'],
];

describe.each(CASES)('%s with %j', (name, changes, numRuns, longest, status) => {
  const brief = caseOf(name, changes);
  const price = brief.minimise[0];

  it('comes to the same end however often it is stopped', async () => {
    const whole = await portion(brief, Infinity);
    expect(whole.left).toBeUndefined();
    expect(whole.outcome.status).toBe(status);
    expect(whole.outcome.proof.resumed).toBeUndefined();
    let goneOn = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(fc.integer({ min: 1, max: longest }), { minLength: 1, maxLength: 4 }), async (moments) => {
        let state: RunState | undefined;
        for (let n = 0; ; n++) {
          // A portion may be too short for what it begins with, so they grow.
          const asked = moments[n % moments.length] << Math.floor(n / moments.length);
          const { outcome, left } = await portion(brief, asked, state);
          if (left === undefined) {
            expect(gistOf(outcome)).toEqual(gistOf(whole.outcome));
            if (state !== undefined) goneOn++;
            if (state?.price === price) expect(outcome.proof.resumed).toBe(true);
            return;
          }
          expect(left.simulations).toBeGreaterThanOrEqual(left.price === state?.price ? state.simulations : 0);
          expect(['feasible', 'unknown']).toContain(outcome.status);
          const text = textOf(left, brief);
          state = readBack(text, brief);
          expect(textOf(state, brief)).toBe(text);
        }
      }),
      { seed: SEED, numRuns, examples: [[[1]]] },
    );
    expect(goneOn).toBeGreaterThan(0);
  });
});

describe('random briefs on tiny sites', () => {
  it('come to the same end, also where what is known of single crews is lost on the way', async () => {
    let goneOn = 0;
    for (const [seed, several] of mixedSeeds(SEED, 40)) {
      const brief = tinyBrief(seed, several);
      if (brief === undefined) continue;
      const whole = await portion(brief, 150);
      if (whole.left !== undefined) continue;
      let state: RunState | undefined;
      for (let asked = 1; ; asked *= 2) {
        const { outcome, left } = await portion(brief, asked, state);
        if (left === undefined) {
          expect([seed, gistOf(outcome)]).toEqual([seed, gistOf(whole.outcome)]);
          break;
        }
        goneOn++;
        const read = readBack(textOf(left, brief), brief);
        state = seed % 2 === 0 ? read : { ...read, families: read.families.map((family) => ({ ...family, crews: new CrewMemories() })) };
      }
    }
    expect(goneOn).toBeGreaterThan(10);
  });
});

describe('files of saved searches', async () => {
  const brief = caseOf('suite-35-two-belts-030-6x8');
  const { left } = await portion(brief, 10);
  if (left === undefined) throw new Error('the portion was too long');
  const { left: later } = await portion(brief, 20, left);
  const saved = JSON.parse(textOf(later ?? left, brief)) as Record<string, never>;
  const families = saved['families'] as readonly Record<string, object>[];
  const bill = families[0]['bill'];
  const changed = (change: object): object => ({ ...saved, families: [{ ...families[0], ...change }, ...families.slice(1)] });
  const refusals = (json: unknown, other = brief, settings = SETTINGS): readonly string[] => {
    const parsed = parseSearch(json, other, settings, verifier(other));
    return parsed.ok ? [] : gist(parsed.findings);
  };

  it('hold what was learnt', () => {
    expect(families.length).toBeGreaterThan(0);
    expect((saved['networks'] as readonly object[]).length).toBeGreaterThan(0);
    expect(refusals(saved)).toEqual([]);
  });

  it.each([
    [{ format: 'transloom-search/2' }, ['wrong-format /format']],
    [{ families: 3, seed: -1 }, ['too-small /seed', 'wrong-type /families']],
    [{ version: '1.2.4', solver: 'jslp', seed: 2 }, ['search-other-seed /seed', 'search-other-solver /solver', 'search-other-version /version']],
    [{ price: 'parts' }, ['search-other-price /price']],
    [{ rest: 3 }, families.map(() => 'search-price /rest')],
    [{ networks: [{ exits: [1, 0], kinds: [{ loads: [], splitters: [], chests: 0, found: false, crews: [] }] }] }, ['search-counts /networks/0/kinds/0', 'search-exits /networks/0/exits']],
    [{ best: { parts: [], exits: [] } }, ['search-best /best']],
    [{ best: { parts: [{ kind: 'belt', at: [99, 0], heading: 'S', model: 'canal' }], exits: [] } }, ['part-outside /best/parts/0', 'unknown-model /best/parts/0/model']],
  ])('with %j are refused', (change, expected) => {
    expect(refusals({ ...saved, ...change })).toEqual(expected);
  });

  it.each([
    [{ bill: { ...bill, chests: 999 } }, 'search-counts /families/0/bill'],
    [{ bill: { ...bill, loads: [1, 2, 3, 4, 5, 6, 7] } }, 'search-counts /families/0/bill'],
    [{ fixed: 1 }, 'search-price /families/0/fixed'],
    [{ price: 1 }, 'search-price /families/0/price'],
    [{ crews: ['1.2.3.4 = much'] }, 'not-as-described /families/0/crews/0'],
  ])('with a bill of parts changed by %j are refused', (change, expected) => {
    expect(refusals(changed(change))).toEqual([expected]);
  });

  it('with a bill that stands there twice are refused', () => {
    expect(refusals({ ...saved, families: [...families, families[0]] })).toEqual([`search-repeats /families/${families.length}/bill`]);
  });

  it('are of one brief, to the last digit', () => {
    expect(refusals({ ...saved, brief: { ...(saved['brief'] as object), feed: 'direct' } })).toEqual(['search-other-brief /brief/feed']);
    expect(refusals(saved, { ...brief, starts: brief.starts + 1 })).toEqual(['search-other-brief /brief/starts']);
    expect(refusals(saved, { ...brief, minimise: ['parts'] })).toEqual(['search-other-brief /brief/minimise/0']);
  });

  it('with a station that does not meet the brief are refused', async () => {
    const { outcome } = await portion(brief, Infinity);
    if (outcome.status !== 'optimal') throw new Error(outcome.status);
    const sound = writeSearch({ ...left, best: outcome.layout }, brief, SETTINGS);
    expect(refusals(JSON.parse(jsonText(sound)))).toEqual([]);
    const { parts } = outcome.layout;
    const arm = parts.findIndex(({ kind }) => kind === 'arm');
    const worse = { ...outcome.layout, parts: parts.filter((_, index) => index !== arm) };
    expect(refusals(JSON.parse(jsonText(writeSearch({ ...left, best: worse }, brief, SETTINGS))))).toEqual(['search-best /best']);
  });
});
