/**
 * A proof log that nobody touched holds; one in which anything was changed does not, and the replay names the line.
 * Changes keep the old seals (then the seals tell) or come with new ones (then the content has to).
 */
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import type { FlawKind } from '../../src/audit/audit-result.js';
import type { LineOf } from '../../src/audit/proof-line.js';
import { replayLog } from '../../src/pipeline.js';
import { SEED } from '../documents.js';
import { loggedBrief, lineOf, logOfDesign, sealedAnew, unsealed, verdictOf, type Unsealed } from './logs.js';

const TINY = 'test/cases/tiny-4x5-100.json';
const now = (): number => performance.now();

const exit = (fill: string): object => ({ edge: 'S', from: 0, to: 3, belt: 'belt', target: { fill } });

let lines: readonly string[] = [];
let bare: readonly Unsealed[] = [];

beforeAll(async () => {
  lines = await logOfDesign(loggedBrief(TINY));
  bare = unsealed(lines);
});

describe('an untouched log', () => {
  it('holds, and everything in it was rechecked', async () => {
    const answer = await replayLog(() => lines, { now });
    if (!answer.ok) throw new Error(JSON.stringify(answer.why));
    const { verdict, status, bound, price, ruledOut, passed, programs, starts, flaws, steps, solver } = answer.value;
    expect(flaws).toEqual([]);
    expect({ verdict, status, bound, price, solver }).toEqual({ verdict: 'holds', status: 'optimal', bound: 73, price: 73, solver: 'jslp' });
    for (const part of [ruledOut, passed, programs, starts]) expect(part).toEqual({ all: part.all, rechecked: part.all, unfinished: 0 });
    expect(ruledOut.all).toBeGreaterThan(5);
    expect(starts.all).toBe(3);
    expect(programs.all).toBe(steps.proposed);
    expect(ruledOut.all + passed.all).toBe(steps.judged);
  });

  it('is the same once it is sealed anew', () => {
    expect(sealedAnew(bare)).toEqual(lines);
  });

  it.each([
    ['infeasible, for its limit of cost', 'test/cases/tiny-4x5-060.json', { limits: { cost: 20 } }, 'infeasible'],
    ['infeasible, for its limit of parts', 'test/cases/tiny-4x5-060.json', { limits: { parts: 6 } }, 'infeasible'],
    ['of fewest parts', 'test/cases/tiny-4x5-060.json', { minimise: ['parts', 'cost'] }, 'optimal'],
    ['with a limit of parts', 'test/cases/tiny-4x5-060.json', { limits: { parts: 20 } }, 'optimal'],
    ['with wagons that may stop short', 'models/briefs/grain-060-direct.json', { spotting: 1 }, 'optimal'],
    ['with an arm that misses the wagons as planned', 'test/regressions/arm-beside-a-gap.json', {}, 'optimal'],
    ['with bins drained evenly', 'models/briefs/grain-085-even.json', {}, 'optimal'],
    ['with limits on trains', 'test/cases/tiny-4x5-060.json', { limits: { dwell: '3500', trainsPerHour: '30' } }, 'optimal'],
    ['with wagons that stop short beside bins', 'test/cases/headline-060.json', { spotting: 1, exits: [exit('4/5')] }, 'optimal'],
    ['with bins that run dry where no wagon stands half of the time', 'test/cases/tiny-4x5-060.json', { presence: '1/2', exits: [exit('9/10')] }, 'optimal', 'chest'],
    ['of belts that fall short together', 'models/briefs/grain-both-ends.json', {}, 'optimal', 'sum'],
    ['of two belts', 'test/cases/tiny-4x5-060.json', { exits: [exit('1/5'), exit('1/5')] }, 'optimal'],
  ])('holds where the claim is %s', async (_, path, changes, status, fails?) => {
    const log = unsealed(await logOfDesign(loggedBrief(path, changes)));
    expect((log.at(-1) as LineOf<'claimed'>).status).toBe(status);
    expect(await verdictOf(sealedAnew(log))).toMatchObject({ verdict: 'holds', flaws: [] });
    const kinds = log.flatMap((line) => (line.step === 'judged' ? [line.failing?.kind] : []));
    if (fails !== undefined) expect(kinds).toContain(fails);
  });

  it('holds where there is none, and the catalog has models that are never worth their price', async () => {
    const brief = loggedBrief('test/cases/tiny-4x5-060.json', { limits: { arms: 1 } });
    const [chest] = brief.catalog.chests;
    const dear = { ...chest, name: 'dear chest' as typeof chest.name, cost: 1000 };
    const log = await logOfDesign({ ...brief, catalog: { ...brief.catalog, chests: [...brief.catalog.chests, dear] } });
    expect((unsealed(log).at(-1) as LineOf<'claimed'>).status).toBe('infeasible');
    expect(await verdictOf(log)).toMatchObject({ verdict: 'holds', flaws: [] });
  });

  it('holds where networks of one exit were ruled out each by itself', async () => {
    const brief = loggedBrief('test/cases/headline-speed-14.json', { exits: [exit('1/2'), exit('4/5')] });
    const isAlone = (line: Unsealed): boolean => line.step === 'judged' && line.verdict === 'fails' && line.exits.length === 1;
    const log = await logOfDesign(brief, 60, isAlone);
    expect(unsealed(log).filter(isAlone)).toHaveLength(1);
    expect((await verdictOf(log, { timeLimitSeconds: 5 })).flaws).toEqual([]);
  });

  it('holds where the run was stopped', async () => {
    const log = await logOfDesign(loggedBrief('test/cases/headline-speed-14.json'), 0.5);
    expect((unsealed(log).at(-1) as LineOf<'claimed'>).status).toBe('unknown');
    expect(await verdictOf(log)).toMatchObject({ verdict: 'holds', flaws: [] });
  });
});

/** Time for the first reading alone. */
const glance = { timeLimitSeconds: 1e-6 };

/** What only shows once programs are solved or networks simulated. */
const BY_RECHECK: readonly FlawKind['kind'][] = ['short', 'not-short', 'program-differs', 'delays-count', 'plan-limit', 'demand-unknown', 'layout-unsound'];

describe('with its old seals', () => {
  it('one sign changed is seen, wherever it stands', async () => {
    const text = lines.join('\n');
    const sign = fc.constantFrom(...'0123456789abcdefSNEW"{}[],:');
    await fc.assert(
      fc.asyncProperty(fc.nat(text.length - 1), sign, async (place, other) => {
        fc.pre(text[place] !== other && text[place] !== '\n');
        const changed = `${text.slice(0, place)}${other}${text.slice(place + 1)}`.split('\n');
        const line = text.slice(0, place).split('\n').length;
        const { verdict, flaws } = await verdictOf(changed, glance);
        if (verdict === 'refused') expect(line).toBe(1);
        else expect([verdict, flaws.some((flaw) => flaw.line === line)]).toEqual(['broken', true]);
      }),
      { seed: SEED, numRuns: 150 },
    );
  });

  it('a line lost, doubled or moved is seen', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 1, max: lines.length - 2 }), fc.constantFrom('lost', 'doubled', 'moved'), async (index, how) => {
        const rest = { lost: [], doubled: [lines[index], lines[index]], moved: [lines[index + 1], lines[index]] }[how];
        const changed = [...lines.slice(0, index), ...rest, ...lines.slice(how === 'moved' ? index + 2 : index + 1)];
        const { verdict, flaws } = await verdictOf(changed, glance);
        expect(verdict).toBe('broken');
        const named = flaws.filter(({ kind }) => kind === 'seal-broken').map(({ line }) => line);
        expect(named).toContain(how === 'doubled' ? index + 2 : index + 1);
      }),
      { seed: SEED, numRuns: 60 },
    );
  });

  it('an end that was cut off is seen', async () => {
    expect(await verdictOf(lines.slice(0, -1), glance)).toMatchObject({
      verdict: 'broken',
      flaws: expect.arrayContaining([{ kind: 'no-claim', line: lines.length - 1 }]) as unknown,
    });
  });
});

/** Replaces one line, or leaves it out. */
const changed = (line: number, change: (line: Unsealed) => object | undefined): readonly object[] =>
  bare.flatMap((each, index) => (index + 1 === line ? [change(each)].filter((some) => some !== undefined) : [each]));

interface Forgery {
  readonly lines: readonly object[];
  readonly at: number;
}

/** What somebody could try, by name: the changed lines, and the line that is to be named. */
const FORGERIES: Readonly<Record<string, readonly [FlawKind['kind'], () => Forgery]>> = {
  'a network that fails is said to pass': ['short', () => {
    const at = lineOf(bare, 'judged', judgedAs('fails', 'from the standard start'));
    return { at, lines: changed(at, (line) => ({ ...line, verdict: 'passes', failing: undefined })) };
  }],
  'the network that passes is said to fail': ['not-short', () => {
    const at = lineOf(bare, 'judged', judgedAs('passes'));
    const arms = (bare[at - 1] as LineOf<'judged'>).parts.filter((part) => (part as { kind: string }).kind === 'arm').length;
    const failing = { kind: 'exit', exit: 0, wagonsMoved: 0, delays: Array.from({ length: arms }, () => 0) };
    return { at, lines: changed(at, (line) => ({ ...line, verdict: 'fails', failing })) };
  }],
  'a start with a delay too few': ['delays-count', () => {
    const at = lineOf(bare, 'start', 1);
    return { at, lines: changed(at, (line) => ({ ...line, delays: (line as LineOf<'start'>).delays.slice(1) })) };
  }],
  'another start twice': ['start-unexpected', () => {
    const at = lineOf(bare, 'start', 2);
    return { at, lines: changed(at, (line) => ({ ...line, start: 1 })) };
  }],
  'a start left out': ['starts-missing', () => {
    const at = lineOf(bare, 'start', -1);
    return { at: bare.length - 1, lines: changed(at, () => undefined) };
  }],
  'a program with a dearer optimum': ['program-differs', () => {
    const at = lineOf(bare, 'proposed');
    return { at, lines: changed(at, (line) => withAnswer(line, { objective: 1 })) };
  }],
  'a program with a cheaper optimum': ['program-differs', () => {
    const at = lineOf(bare, 'proposed');
    return { at, lines: changed(at, (line) => withAnswer(line, { objective: -1 })) };
  }],
  'a bill at another price': ['bill-price', () => {
    const at = lineOf(bare, 'proposed');
    return { at, lines: changed(at, (line) => withAnswer(line, { fixed: -1 })) };
  }],
  'a bill with more chests than there is room for': ['bill-unknown', () => {
    const at = lineOf(bare, 'proposed');
    return { at, lines: changed(at, (line) => withAnswer(line, { chests: 999 })) };
  }],
  'a proposal left out': ['family-unknown', () => ({
    at: lineOf(bare, 'raised') - 1,
    lines: changed(lineOf(bare, 'proposed'), () => undefined),
  })],
  'the proposals left out': ['bound-too-high', () => ({
    at: bare.filter(({ step }) => step !== 'proposed' && step !== 'raised').length,
    lines: bare.filter(({ step }) => step !== 'proposed' && step !== 'raised'),
  })],
  'a price that starts higher than it stood': ['family-price', () => {
    const at = lineOf(bare, 'raised', 1);
    return { at, lines: changed(at, (line) => ({ ...line, from: (line as LineOf<'raised'>).from + 1 })) };
  }],
  'a price that falls': ['family-falls', () => {
    const at = lineOf(bare, 'raised', -1);
    return { at, lines: changed(at, (line) => ({ ...line, to: (line as LineOf<'raised'>).from - 1 })) };
  }],
  'a raise left out': ['bound-too-high', () => {
    // The last raise of a family, without which it stays at a price below the claim's.
    const raises = bare.flatMap((line, index) => (line.step === 'raised' ? [{ line, number: index + 1 }] : []));
    const last = raises.find(({ line, number }) => !raises.some((other) => other.number > number && other.line.family === line.family) && line.from < 73);
    if (last === undefined) throw new Error('no family was raised from below the claim');
    return { at: bare.length - 1, lines: changed(last.number, () => undefined) };
  }],
  'a station that is said to cost less': ['plan-price', () => {
    const at = lineOf(bare, 'found', -1);
    return { at, lines: changed(at, (line) => ({ ...line, price: (line as LineOf<'found'>).price - 1 })) };
  }],
  'a claim of a higher bound': ['bound-not-price', () => ({
    at: bare.length,
    lines: changed(bare.length, (line) => ({ ...line, bound: 74 })),
  })],
  'a claim that there is none': ['claim-with-plan', () => ({
    at: bare.length,
    lines: changed(bare.length, (line) => ({ ...line, status: 'infeasible', bound: undefined })),
  })],
  'the station left out': ['claim-without-plan', () => ({
    at: bare.filter(({ step }) => step !== 'found' && step !== 'start').length,
    lines: bare.filter(({ step }) => step !== 'found' && step !== 'start'),
  })],
  'a claim twice': ['out-of-order', () => ({ at: bare.length + 1, lines: [...bare, ...bare.slice(-1)] })],
  'a belt of the station left out': ['plan-price', () => {
    const at = lineOf(bare, 'found', -1);
    return { at, lines: changed(at, (line) => withParts(line, (parts) => parts.filter((part) => part !== lastOf(parts, 'belt')))) };
  }],
  'an exit of the station elsewhere': ['plan-exit', () => {
    const at = lineOf(bare, 'found', -1);
    const exits = (line: Unsealed): LineOf<'found'>['exits'] => (line as LineOf<'found'>).exits;
    return { at, lines: changed(at, (line) => ({ ...line, exits: exits(line).map((exit) => ({ ...exit, at: [exit.at[0] === 0 ? 1 : 0, exit.at[1]] })) })) };
  }],
  'a station after a better one': ['found-dearer', () => {
    const at = lineOf(bare, 'found', -1);
    const found = bare[at - 1] as LineOf<'found'>;
    return { at: at + 1, lines: bare.toSpliced(at, 0, { ...found, price: found.price + 1 }) };
  }],
  'an optimum lower than before': ['rest-falls', () => {
    const at = lineOf(bare, 'proposed', 1);
    return { at, lines: changed(at, (line) => withAnswer(line, { objective: -30 })) };
  }],
  'a network on an exit that the brief has not': ['demand-unknown', () => {
    const at = lineOf(bare, 'judged');
    const exits = (line: Unsealed): LineOf<'judged'>['exits'] => (line as LineOf<'judged'>).exits;
    return { at, lines: changed(at, (line) => ({ ...line, exits: exits(line).map((each) => ({ ...each, demand: 1 })) })) };
  }],
  'a network with one part twice': ['layout-unsound', () => {
    const at = lineOf(bare, 'judged');
    return { at, lines: changed(at, (line) => withParts(line, (parts) => [...parts, ...parts.slice(0, 1)])) };
  }],
  'a brief that wants no chests': ['plan-feed', () => withBrief({ feed: 'direct' })],
  'a brief that allows fewer arms': ['plan-limit', () => withBrief({ limits: { arms: 3 } })],
  'a brief that wants chests drained evenly': ['plan-limit', () => withBrief({ limits: { imbalance: '0' } })],
  'a brief that lets no train stand so long': ['plan-limit', () => withBrief({ limits: { dwell: '900' } })],
  'a brief that wants the belt further along': ['plan-exit', () => withBrief({ exits: [exitAt({ from: placeOfExit() + 1, to: 3 })] })],
  'a brief that wants the belt before there': ['plan-exit', () => withBrief({ exits: [exitAt({ from: 0, to: placeOfExit() - 1 })] })],
  'a network that leaves inside the site': ['layout-unsound', () => {
    const at = lineOf(bare, 'judged');
    const exits = [{ at: [1, 2], heading: 'S', demand: 0 }];
    return { at, lines: changed(at, (line) => ({ ...line, stub: false, exits })) };
  }],
  'a network that serves one exit twice': ['demand-unknown', () => {
    const at = lineOf(bare, 'judged');
    const exits = (line: Unsealed): LineOf<'judged'>['exits'] => (line as LineOf<'judged'>).exits;
    return { at, lines: changed(at, (line) => ({ ...line, exits: [...exits(line), ...exits(line)] })) };
  }],
  'a brief that wants another belt': ['plan-exit', () => withBrief({ exits: [{ edge: 'E', from: 0, to: 4, belt: 'belt', target: { fill: '1' } }] })],
  'a brief that wants wagons to stop short': ['starts-missing', () => ({ ...withBrief({ spotting: 1 }), at: bare.length })],
  'a chest of the station on another part': ['layout-unsound', () => {
    const at = lineOf(bare, 'found', -1);
    return {
      at,
      lines: changed(at, (line) => withParts(line, (parts) => parts.map((part) => (part.kind === 'chest' ? { ...part, at: lastOf(parts, 'belt')?.at } : part)))),
    };
  }],
};

const exitAt = (range: { readonly from: number; readonly to: number }): object => ({ edge: 'S', belt: 'belt', target: { fill: '1' }, ...range });

/** Column of the station's exit, which is neither the first nor the last. */
function placeOfExit(): number {
  const [{ at, heading }] = (bare[lineOf(bare, 'found', -1) - 1] as LineOf<'found'>).exits;
  expect([heading, at[0] > 0 && at[0] < 3]).toEqual(['S', true]);
  return at[0];
}

/** The station found is to be named. */
function withBrief(changes: object): Forgery {
  return { at: lineOf(bare, 'found', -1), lines: changed(1, (line) => ({ ...line, brief: { ...(line as LineOf<'opened'>).brief, ...changes } })) };
}

interface PartJson {
  readonly kind: string;
  readonly at?: readonly [number, number] | undefined;
}

const lastOf = (parts: readonly PartJson[], kind: string): PartJson | undefined => parts.filter((part) => part.kind === kind).at(-1);

const withParts = (line: Unsealed, change: (parts: readonly PartJson[]) => readonly object[]): object => ({
  ...line,
  parts: change((line as LineOf<'found'>).parts as readonly PartJson[]),
});

function withAnswer(line: Unsealed, more: { readonly objective?: number; readonly fixed?: number; readonly chests?: number }): object {
  const { answer } = line as LineOf<'proposed'>;
  if (answer === undefined) throw new Error('the program proposed nothing');
  const bill = { ...answer.bill, chests: more.chests ?? answer.bill.chests };
  return { ...line, answer: { bill, fixed: answer.fixed + (more.fixed ?? 0), objective: answer.objective + (more.objective ?? 0) } };
}

/** Which of the judged lines is the first of a verdict, and of failing ones one that fails from no delays. */
function judgedAs(verdict: 'fails' | 'passes', how?: 'from the standard start'): number {
  const judged = bare.filter((line) => line.step === 'judged');
  const nth = judged.findIndex(
    (line) => line.verdict === verdict && (how === undefined || line.failing?.delays.every((delay) => delay === 0) === true),
  );
  if (nth < 0) throw new Error(`no network ${verdict}`);
  return nth;
}

describe('sealed anew', () => {
  it.each(Object.keys(FORGERIES))('%s: the line is named', async (name) => {
    const [kind, forge] = FORGERIES[name];
    const { lines: forged, at } = forge();
    const { verdict, flaws } = await verdictOf(sealedAnew(forged), BY_RECHECK.includes(kind) ? {} : glance);
    expect(verdict).toBe('broken');
    expect(flaws.map((flaw) => `${flaw.line} ${flaw.kind}`)).toContain(`${at} ${kind}`);
  });

  it('an infeasible claim needs every price to be ruled out', async () => {
    const log = unsealed(await logOfDesign(loggedBrief('test/cases/tiny-4x5-060.json', { limits: { cost: 39 } })));
    const last = lineOf(log, 'proposed', -1);
    expect((log[last - 1] as LineOf<'proposed'>).answer).toBeUndefined();
    for (const without of [log.toSpliced(last - 1, 1), log.toSpliced(last - 1, 1, { ...(log[last - 1] as LineOf<'proposed'>), mostPrice: 38 })]) {
      const { verdict, flaws } = await verdictOf(sealedAnew(without));
      expect(verdict).toBe('broken');
      expect(flaws.map(({ line, kind }) => `${line} ${kind}`)).toContain(`${without.length} not-exhausted`);
    }
  });

  it('a network left out shows in the counts of the claim', async () => {
    const forged = sealedAnew(changed(lineOf(bare, 'judged'), () => undefined), false);
    const { verdict, flaws } = await verdictOf(forged, { timeLimitSeconds: 1e-6 });
    expect(verdict).toBe('broken');
    expect(flaws).toEqual([{ line: forged.length, kind: 'steps-missing', step: 'judged', stated: bare.filter(({ step }) => step === 'judged').length, found: bare.filter(({ step }) => step === 'judged').length - 1 }]);
  });

  it('a network of which nobody says why it fails is never taken for rechecked', async () => {
    const at = lineOf(bare, 'judged', judgedAs('fails'));
    expect(await verdictOf(sealedAnew(changed(at, (line) => ({ ...line, failing: undefined }))))).toMatchObject({ verdict: 'partly', flaws: [] });
  });

  it('a part of the station moved or turned never holds', async () => {
    const at = lineOf(bare, 'found', -1);
    const { parts } = bare[at - 1] as LineOf<'found'>;
    const seen = new Set<string>();
    await fc.assert(
      fc.asyncProperty(fc.nat(parts.length - 1), fc.constantFrom('N', 'E', 'S', 'W'), fc.constantFrom([0, 0], [1, 0], [0, 1], [-1, 0], [0, -1]), async (which, heading, [dx, dy]) => {
        const moved = parts.map((part, index) => {
          const { at: tile, ...rest } = part as PartJson & { readonly heading?: string };
          if (index !== which || tile === undefined) return part;
          return { ...rest, at: [tile[0] + dx, tile[1] + dy], ...(rest.heading === undefined ? {} : { heading }) };
        });
        const { heading: before = heading } = parts[which] as { readonly heading?: string };
        fc.pre(dx !== 0 || dy !== 0 || before !== heading);
        const { verdict, flaws } = await verdictOf(sealedAnew(changed(at, (line) => ({ ...line, parts: moved }))));
        for (const { kind } of flaws) seen.add(kind);
        expect(verdict).toBe('broken');
        expect(flaws.every(({ line }) => line === at || bare[line - 1].step === 'start')).toBe(true);
      }),
      { seed: SEED, numRuns: 20 },
    );
    expect([...seen]).toEqual(expect.arrayContaining(['layout-unsound', 'short']));
  });
});

describe('in little time', () => {
  it('tells how much was rechecked, and says no more than that', async () => {
    let clock = 0;
    const answer = await replayLog(() => lines, { now: () => (clock += 20), timeLimitSeconds: 4 });
    if (!answer.ok) throw new Error(JSON.stringify(answer.why));
    const { verdict, ruledOut } = answer.value;
    expect(verdict).toBe('partly');
    expect(ruledOut.rechecked).toBeLessThan(ruledOut.all);
    expect((await verdictOf(lines, { shouldStop: () => true })).verdict).toBe('partly');
  });
});

describe('what is no log', () => {
  it.each([
    ['nothing', []],
    ['no JSON', ['a proof']],
    ['a plan', ['{"format":"transloom-plan/1"}']],
    ['a list', ['[]']],
    ['null', ['null']],
  ])('%s is refused', async (_, text) => {
    expect((await verdictOf(text)).verdict).toBe('refused');
  });

  it('a brief that is not sound is refused, with its findings', async () => {
    const opened = bare[0] as LineOf<'opened'>;
    const flawed = sealedAnew([{ ...opened, brief: { ...opened.brief, feed: 'by hand' } }, ...bare.slice(1)]);
    const answer = await replayLog(() => flawed, { now });
    expect(answer).toMatchObject({ ok: false, why: { kind: 'brief-unsound', findings: [{ code: 'not-one-of', pointer: '/feed' }] } });
  });
});
