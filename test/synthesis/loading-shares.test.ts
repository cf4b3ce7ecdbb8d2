/**
 * Places of a price that several go through: together they meet each forest once, and find what one search finds. Helpers
 * here run on this thread; those on other threads are in `test/workers/`. TRANSLOOM_SEED draws who comes first to what.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import type { Brief } from '../../src/brief/brief.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { isPreferred } from '../../src/synthesis/families/preference.js';
import { BestSoFar } from '../../src/synthesis/families/best-so-far.js';
import { Crews } from '../../src/synthesis/loading/loading-crews.js';
import { designLoading, type LoadingTools } from '../../src/synthesis/loading/loading-design.js';
import { Preferred } from '../../src/synthesis/loading/loading-preference.js';
import { LoadingSearch } from '../../src/synthesis/loading/loading-search.js';
import { LoadingHelper, counter, takerOf, type LoadingAnswer, type LoadingHelpers, type LoadingTask } from '../../src/synthesis/loading/loading-shares.js';
import { loadingSite } from '../../src/synthesis/loading/loading-site.js';
import type { Others, Told } from '../../src/synthesis/loading/loading-told.js';
import { Trees } from '../../src/synthesis/loading/loading-trees.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import type { RunState } from '../../src/synthesis/search-state.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { briefOf, loadJobOf, SEED } from '../documents.js';
import { tinyBrief } from '../oracles/every-loading-plan.js';

const caseOf = (name: string): Brief => briefOf(`test/cases/loading-${name}.json`);
const verifier = (brief: Brief) => loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: 60_000 });

/** Lets one after the other go on for a turn, drawn at random, until all are through; what each returns. */
function byTurns<T>(all: readonly Generator<unknown, T>[], random: (below: number) => number): readonly T[] {
  const ends = new Map<number, T>();
  while (ends.size < all.length) {
    const index = random(all.length);
    if (ends.has(index)) continue;
    const step = all[index].next();
    if (step.done === true) ends.set(index, step.value);
  }
  return all.flatMap((_, index) => [...ends].flatMap(([of, end]) => (of === index ? [end] : [])));
}

const WALKS: readonly (readonly [name: string, price: number])[] = [
  ['13-two-belts-040-6x5', 45],
  ['16-080-6x6', 49],
  ['17-two-belts-060-direct-10x8', 33],
  ['18-two-belts-030-side-emptied-6x6', 40],
];

describe.each(WALKS)('walks over the forests of %s that cost %i at most', (name, price) => {
  const site = loadingSite(caseOf(name), loadJobOf(caseOf(name)));

  interface Walked {
    readonly forests: readonly string[];
    readonly next: number;
  }

  function* walk(takes?: () => boolean): Generator<undefined, Walked> {
    const trees = new Trees(site, new Crews(site).prices);
    const forests: string[] = [];
    for (const forest of trees.upTo(price, takes)) {
      if (forest !== undefined) forests.push(JSON.stringify([forest.entries, forest.parts.map((part) => ({ ...part, model: part.model.name }))]));
      yield;
    }
    return { forests, next: trees.next };
  }

  it.each([2, 3, 5])('meet each once where %i share it', (count) => {
    const random = seededRandom(SEED + count);
    const [alone] = byTurns([walk()], random);
    const taken = counter();
    const own = Array.from({ length: count }, counter);
    const walked = byTurns(own.map((each) => walk(takerOf(taken, each))), random);
    expect(walked.flatMap(({ forests }) => forests).sort()).toEqual([...alone.forests].sort());
    expect(Math.min(...walked.map(({ next }) => next))).toBe(alone.next);
    expect(own.reduce((sum, [some]) => sum + some, 0)).toBe(taken[0]);
    expect(own.filter(([some]) => some > 0).length).toBeGreaterThan(1);
  });
});

describe('places', () => {
  it('are taken by whoever comes first, and nobody else', () => {
    const taken = counter();
    const [one, other] = [takerOf(taken, counter()), takerOf(taken, counter())];
    expect([one(), one(), other(), other(), other(), one(), other(), one()]).toEqual([true, true, false, false, true, false, true, false]);
  });
});

const STATIONS: readonly (readonly [name: string, from: number, to: number])[] = [
  ['13-two-belts-040-6x5', 43, 45],
  ['18-two-belts-030-side-emptied-6x6', 36, 54],
];

describe.each(STATIONS)('searches for %s from %i to %i', (name, from, to) => {
  const brief = caseOf(name);

  /** All that tell each other at once. */
  function searchers(count: number): readonly { readonly search: LoadingSearch; readonly kept: BestSoFar; readonly heard: Told[] }[] {
    const all = Array.from({ length: count }, () => {
      const kept = new BestSoFar(brief, () => undefined);
      return { search: new LoadingSearch(brief, loadJobOf(brief), { verify: verifier(brief) }, new Preferred(brief, kept)), kept, heard: [] as Told[] };
    });
    for (const { search, heard } of all) {
      search.others = {
        tell: (told) => {
          for (const other of all) if (other.heard !== heard) other.heard.push(told);
        },
        heard: () => heard.shift(),
      };
    }
    return all;
  }

  it('find together what one finds, with hardly more simulations', () => {
    const random = seededRandom(SEED);
    const [alone] = searchers(1);
    const three = searchers(3);
    for (let price = from; price <= to; price++) {
      const [next] = byTurns([alone.search.help(price, () => true)], random);
      const taken = counter();
      const all = byTurns(three.map(({ search }) => search.help(price, takerOf(taken, counter()))), random);
      expect(Math.min(...all)).toBe(next);
    }
    const best = three.flatMap(({ kept }) => (kept.best === undefined ? [] : [kept.best])).sort((a, b) => (isPreferred(a, b, brief.minimise) ? -1 : 1));
    expect(best.at(0)?.text).toBe(alone.kept.best?.text);
    const simulations = three.reduce((sum, { search }) => sum + search.simulations, 0);
    expect(Math.min(...three.map(({ search }) => search.simulations))).toBeGreaterThan(0);
    expect(simulations).toBeLessThan(1.2 * alone.search.simulations + 5);
  });
});

describe('what a search is saved by', () => {
  const brief = caseOf('18-two-belts-030-side-emptied-6x6');
  const nothing = { admits: () => false, offer: () => undefined };
  const at = (price: number, forests: number): LoadingSearch => {
    const resumed: RunState = { price: 'cost', rounds: 1, simulations: 0, seconds: 0, restBound: price, undecided: Infinity, loading: { forests, next: Infinity }, families: [], networks: [], best: undefined };
    const search = new LoadingSearch(brief, loadJobOf(brief), { verify: verifier(brief), resumed }, nothing);
    search.begin();
    return search;
  };

  it('does not count what was gone through after others had begun to take places', () => {
    const search = at(44, 0);
    let turns = 0;
    let counted = 0;
    // Whichever places are taken here from then on.
    for (const _ of search.settle(() => turns < 40 || turns % 2 === 0)) {
      if (++turns === 40) {
        counted = search.progress.forests;
        search.share();
      }
    }
    expect(turns).toBeGreaterThan(60);
    expect(counted).toBeGreaterThan(0);
    expect(search.progress.forests).toBe(counted);
  });

  it('is passed over before others may take places', () => {
    const search = at(44, 30);
    const shared: boolean[] = [];
    for (const _ of search.settle()) shared.push(search.mayBeShared);
    expect(shared.indexOf(true)).toBeGreaterThan(20);
    expect(shared.lastIndexOf(false)).toBe(shared.indexOf(true) - 1);
  });
});

/** Who helps on this thread: one search each. `when`: how each comes to its answer once it is asked. */
function helpersFor(brief: Brief, count: number, when: (answer: () => LoadingAnswer) => Promise<LoadingAnswer>): LoadingHelpers & { readonly tasks: LoadingTask[] } {
  let stopped = false;
  const nobody: Others = { tell: () => undefined, heard: () => undefined };
  const all = Array.from({ length: count }, () => new LoadingHelper(brief, loadJobOf(brief), verifier(brief), () => stopped));
  const tasks: LoadingTask[] = [];
  return {
    count,
    others: nobody,
    tasks,
    search: (task, index) => {
      tasks.push(task);
      return when(() => all[index].answer(task));
    },
    stop: () => {
      stopped = true;
    },
    turn: () => Promise.resolve(),
    pause: () => Promise.resolve(),
  };
}

const atOnce = (answer: () => LoadingAnswer): Promise<LoadingAnswer> => Promise.resolve(answer());
const never = (): Promise<LoadingAnswer> => new Promise(() => undefined);

/** By a clock that moves on whenever it is asked for; stopped when it was asked so often whether it should. */
async function designed(brief: Brief, tools: Pick<LoadingTools, 'helpers' | 'resumed'>, asked = Infinity, milliseconds = 25): Promise<{ readonly outcome: DesignOutcome; readonly left: RunState | undefined }> {
  let clock = 0;
  let times = 0;
  let left: RunState | undefined;
  const outcome = await designLoading(brief, loadJobOf(brief), {
    ...tools,
    verify: verifier(brief),
    now: () => (clock += milliseconds),
    shouldStop: () => ++times > asked,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onUnfinished: (state) => {
      left = state;
    },
  });
  return { outcome, left };
}

const gistOf = ({ status, proof: { bound, cost }, ...rest }: DesignOutcome): object => ({ status, bound, cost, plan: 'layout' in rest ? writePlan(rest.layout) : undefined });

const BRIEFS: readonly (readonly [name: string, brief: () => Brief])[] = [
  ['a brief without a station', () => briefOf('test/cases/loading-18-two-belts-030-side-emptied-6x6.json', { limits: { cost: 45 } })],
  ['two belts', () => caseOf('18-two-belts-030-side-emptied-6x6')],
  ['two belts of two models', () => caseOf('09-100-two-tiers-direct-6x5')],
  ['a tiny brief', () => tinyBrief(43)],
];

describe.each(BRIEFS)('a design for %s', (name, briefAt) => {
  it('is the same with helpers, whatever they take', async () => {
    const brief = briefAt();
    const whole = (outcome: DesignOutcome): object => ({ ...gistOf(outcome), rounds: outcome.proof.rounds });
    const alone = whole((await designed(brief, {})).outcome);
    for (const [count, when] of [[1, atOnce], [3, atOnce], [2, never]] as const) {
      const helpers = helpersFor(brief, count, when);
      expect(whole((await designed(brief, { helpers: () => helpers })).outcome)).toEqual(alone);
      if (name.startsWith('a tiny')) continue;
      expect(helpers.tasks.length).toBeGreaterThan(0);
      expect(helpers.tasks.some(({ own: [took] }) => took > 0)).toBe(when === atOnce);
      // What is found out before is told to each once.
      expect(helpers.tasks.filter(({ known }) => known.length > 0).length).toBe(count);
    }
  });

  it('comes to the same end however often it is stopped, with helpers or without', async () => {
    const brief = briefAt();
    const random = seededRandom(SEED);
    const alone = await designed(brief, {});
    for (let run = 0; run < 4; run++) {
      let state: RunState | undefined;
      for (let stop = 0; stop < 3; stop++) {
        const helpers = random(3) === 0 ? undefined : helpersFor(brief, 1 + random(2), atOnce);
        const portion = await designed(brief, { helpers: () => helpers, resumed: state }, 20 + random(200));
        if (portion.left === undefined) break;
        state = portion.left;
      }
      const helpers = helpersFor(brief, 1, atOnce);
      const { outcome } = await designed(brief, { helpers: () => helpers, resumed: state });
      expect(gistOf(outcome)).toEqual(gistOf(alone.outcome));
    }
  });
});

it('a run that is stopped shows what helpers have found by then', async () => {
  const brief = caseOf('18-two-belts-030-side-emptied-6x6');
  let found = false;
  const helpers = helpersFor(brief, 1, (answer) => {
    const given = answer();
    found ||= given.better !== undefined;
    return Promise.resolve(given);
  });
  let clock = 0;
  const outcome = await designLoading(brief, loadJobOf(brief), {
    verify: verifier(brief),
    helpers: () => helpers,
    now: () => (clock += 25),
    shouldStop: () => found,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
  });
  expect(found).toBe(true);
  expect([outcome.status, outcome.proof.cost]).toEqual(['feasible', 54]);
});

it('a run goes on at the least price that helpers leave', async () => {
  const brief = caseOf('17-two-belts-060-direct-10x8');
  const alone = await designed(brief, {});
  const helpers = helpersFor(brief, 1, atOnce);
  const search = ({ price, own }: LoadingTask): Promise<LoadingAnswer> => {
    own[0] = 1;
    return Promise.resolve({ next: price + 1, stopped: false, better: undefined, undecided: Infinity, simulations: 0 });
  };
  const { outcome } = await designed(brief, { helpers: () => ({ ...helpers, search }) }, Infinity, 1_000);
  expect(gistOf(outcome)).toEqual(gistOf(alone.outcome));
  // Alone it knows of prices that none has.
  expect(outcome.proof.rounds).toBeGreaterThan(alone.outcome.proof.rounds + 5);
});
