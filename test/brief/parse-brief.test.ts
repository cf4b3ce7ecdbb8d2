/**
 * Briefs: targets in items per tick, defaults, and that bad ones give all their findings, each with its pointer.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compare, formatRational, ZERO } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkBriefForm, parseBrief } from '../../src/brief/parse-brief.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import { gist, readCatalog, readJson, SEED } from '../documents.js';
import { withJunk } from '../junk.js';

/** U 240, P 60, v 15, 50 ticks a second: a lane carries 1/4 item per tick, a belt 1/2, which is 25 a second. */
const catalog = readCatalog('test/cases/headline-catalog.json');

const SOUND = {
  format: 'transloom-brief/1',
  name: 'test',
  catalog: 'headline-catalog.json',
  site: { width: 6, depth: 8 },
  wagons: [{ model: 'wagon', at: 0 }],
  exits: [{ edge: 'S', from: 0, to: 5, belt: 'belt', target: { fill: '1' } }],
};
const EXIT = SOUND.exits[0];

const findingsOf = (json: unknown, against: Catalog = catalog): readonly string[] => {
  const parsed = parseBrief(json, against);
  return gist(parsed.ok ? parsed.warnings : parsed.findings);
};

const withTarget = (target: unknown): unknown => ({ ...SOUND, exits: [{ ...EXIT, target }] });

describe('a sound brief', () => {
  it('has its defaults filled in', () => {
    const parsed = parseBrief(SOUND, catalog);
    if (!parsed.ok) throw new Error(gist(parsed.findings).join());
    const { feed, spotting, presence, starts, limits, minimise, site } = parsed.value;
    expect({ feed, spotting, starts, minimise, site }).toEqual({
      feed: 'either',
      spotting: 0,
      starts: 16,
      minimise: ['cost', 'footprint', 'parts'],
      site: { width: 6, depth: 8, keepOut: [] },
    });
    expect(formatRational(presence)).toBe('1');
    expect(limits).toEqual({ arms: undefined, parts: undefined, cost: undefined, imbalance: undefined });
  });

  it.each([
    [{ fill: '1' }, ['1/2', '0', '0']],
    [{ fill: '0.6' }, ['3/10', '0', '0']],
    [{ fill: '3/5' }, ['3/10', '0', '0']],
    [{ rate: '20/s' }, ['2/5', '0', '0']],
    [{ rate: '3/8' }, ['3/8', '0', '0']],
    [{ rate: '25/s' }, ['1/2', '0', '0']],
    [{ left: { fill: '1' }, right: { fill: '1/2' } }, ['3/8', '1/4', '1/8']],
    [{ left: { rate: '10/s' } }, ['1/5', '1/5', '0']],
    [{ left: { fill: '0' }, right: { fill: '1' } }, ['1/4', '0', '1/4']],
    [{ fill: '1', left: { fill: '0.9' } }, ['1/2', '9/40', '0']],
    [{ rate: '20/s', right: { rate: '12.5/s' } }, ['2/5', '0', '1/4']],
  ])('means by target %j total, left and right %j', (target, expected) => {
    const parsed = parseBrief(withTarget(target), catalog);
    const found = parsed.ok ? parsed.value.exits[0]?.target : undefined;
    expect(found && [found.total, found.left, found.right].map(formatRational)).toEqual(expected);
  });

  it.each([
    [{ fill: '1' }, [undefined, undefined], '1'],
    [{ fill: '0.6' }, [undefined, undefined], '3/5'],
    [{ rate: '37.5/s' }, [undefined, undefined], '3/4'],
    [{ rate: '5/8' }, [{ fill: '1/2' }, undefined], '5/8'],
    [{ fill: '3/4' }, [{ fill: '3/4' }, { fill: '3/4' }], '3/4'],
    [undefined, [{ fill: '3/4' }, { fill: '3/4' }], undefined],
  ])('with the common target %j beside %j asks for %s together', (target, own, expected) => {
    const exits = own.map((each) => ({ ...EXIT, target: each }));
    const parsed = parseBrief({ ...SOUND, ...JSON.parse(JSON.stringify({ exits, target })) }, catalog);
    if (!parsed.ok) throw new Error(gist(parsed.findings).join());
    const { together, exits: demands } = parsed.value;
    expect(together && formatRational(together)).toBe(expected);
    expect(demands.map(({ target: { total } }) => compare(total, ZERO) === 0)).toEqual(own.map((each) => each === undefined));
  });

  it.each([
    ['a common target below those of its exits', { ...SOUND, target: { fill: '0.9' } }, ['target-under-exits /target']],
    [
      "a common target below those of its exits' lanes",
      { ...(withTarget({ fill: '0.5', left: { fill: '0.6' }, right: { fill: '0.6' } }) as object), target: { fill: '0.55' } },
      ['target-under-exits /target', 'total-under-lanes /exits/0/target'],
    ],
    [
      'a total below its lanes',
      withTarget({ fill: '0.5', left: { fill: '1' }, right: { fill: '1' } }),
      ['total-under-lanes /exits/0/target'],
    ],
    ['a wagon that juts out', { ...SOUND, wagons: [{ model: 'wagon', at: -2 }] }, ['wagon-overhangs /wagons/0']],
    [
      'a rectangle beyond the site',
      { ...SOUND, site: { width: 6, depth: 8, keepOut: [[5, 5, 2, 1]] } },
      ['keep-out-outside /site/keepOut/0'],
    ],
    [
      'a site too small for the arm',
      { ...SOUND, site: { width: 2, depth: 1 }, exits: [{ ...EXIT, to: 1 }] },
      ['wagon-overhangs /wagons/0'],
    ],
  ])('may come with a warning: %s', (_, json, expected) => {
    expect(parseBrief(json, catalog).ok).toBe(true);
    expect(findingsOf(json)).toEqual(expected);
  });

  it('is warned about arms too long for its site', () => {
    const long = { ...catalog, arms: catalog.arms.map((arm) => ({ ...arm, reach: 5 })) };
    expect(findingsOf(SOUND, long)).toEqual(['reach-over-site /site']);
    expect(findingsOf({ ...SOUND, site: { width: 6, depth: 9 } }, long)).toEqual([]);
    // From end to end of a row of eleven.
    const row = (width: number): unknown => ({ ...SOUND, site: { width, depth: 8 } });
    expect(findingsOf(row(10), long)).toEqual(['reach-over-site /site']);
    expect(findingsOf(row(11), long)).toEqual([]);
  });
});

describe('wagons in a row', () => {
  /** Lengths 4 and 6, each with a tile to the next. */
  const yard = readCatalog('models/catalogs/grain-yard.json');
  const rowOf = (...wagons: readonly (readonly [model: 'short' | 'long', at?: number])[]): unknown => ({
    ...SOUND,
    site: { width: 24, depth: 8 },
    wagons: wagons.map(([model, at]) => ({ model: `${model} grain wagon`, ...(at === undefined ? {} : { at }) })),
    exits: [{ ...EXIT, belt: 'field belt' }],
  });
  const places = (json: unknown): readonly number[] => {
    const parsed = parseBrief(json, yard);
    if (!parsed.ok) throw new Error(gist(parsed.findings).join());
    return parsed.value.wagons.map(({ at }) => at);
  };

  it('stand from 0 on, each after the one before it and its coupling', () => {
    expect(places(rowOf(['short'], ['long'], ['short']))).toEqual([0, 5, 12]);
    expect(places(rowOf(['short', 3], ['long'], ['short']))).toEqual([3, 8, 15]);
    expect(places(rowOf(['short'], ['long', 8], ['short']))).toEqual([0, 8, 15]);
    expect(places(rowOf(['long', 10], ['short', 0], ['short']))).toEqual([10, 0, 5]);
  });

  it('may stand without a gap where their place says so, and without a coupling do', () => {
    expect(places(rowOf(['short'], ['long', 4]))).toEqual([0, 4]);
    const uncoupled = { ...yard, wagons: yard.wagons.map((model) => ({ ...model, coupling: 0 })) };
    const parsed = parseBrief(rowOf(['short'], ['long']), uncoupled);
    expect(parsed.ok && parsed.value.wagons.map(({ at }) => at)).toEqual([0, 4]);
  });

  it.each([
    ['one that runs into one with a place', rowOf(['short', 8], ['short', 2], ['long']), ['wagons-overlap /wagons/2']],
    ['three in one place', rowOf(['long', 0], ['long', 0], ['long', 0]), ['wagons-overlap /wagons/1', 'wagons-overlap /wagons/2']],
    ['one with a place within another', rowOf(['long'], ['short', 5]), ['wagons-overlap /wagons/1']],
    ['more than the site has room for', rowOf(['long'], ['long'], ['long'], ['long'], ['long']), ['wagon-outside /wagons/4', 'wagon-overhangs /wagons/3']],
    ['one without a model', { ...SOUND, wagons: [{ at: 0 }, { model: 'long grain wagon' }], exits: [{ ...EXIT, belt: 'field belt' }] }, ['missing-field /wagons/0']],
  ])('have their findings: %s', (_, json, expected) => {
    expect(findingsOf(json, yard)).toEqual(expected);
  });
});

describe('a bad brief', () => {
  it.each([
    ['no object', 7, ['wrong-type']],
    ['a plan', { format: 'transloom-plan/1', parts: [] }, ['wrong-format /format']],
    [
      'a site beyond the limit',
      { ...SOUND, site: { width: 201, depth: 5000 } },
      ['site-too-large /site/depth', 'site-too-large /site/width'],
    ],
    ['no site at all', { ...SOUND, site: { width: 0, depth: -3 } }, ['too-small /site/depth', 'too-small /site/width']],
    ['an unknown wagon', { ...SOUND, wagons: [{ model: 'wagn', at: 0 }] }, ['unknown-model /wagons/0/model']],
    [
      'a name of the language',
      { ...SOUND, wagons: [{ model: 'constructor', at: 0 }] },
      ['unknown-model /wagons/0/model'],
    ],
    ['a wagon that ends where the site begins', { ...SOUND, wagons: [{ model: 'wagon', at: -6 }] }, ['wagon-outside /wagons/0']],
    ['a wagon elsewhere', { ...SOUND, wagons: [{ model: 'wagon', at: 6 }] }, ['wagon-outside /wagons/0']],
    [
      'wagons that overlap',
      {
        ...SOUND,
        site: { width: 12, depth: 8 },
        wagons: [
          { model: 'wagon', at: 0 },
          { model: 'wagon', at: 5 },
        ],
      },
      ['wagons-overlap /wagons/1'],
    ],
    ['no wagon', { ...SOUND, wagons: [] }, ['list-too-short /wagons']],
    ['no exit', { ...SOUND, exits: [] }, ['list-too-short /exits']],
    [
      'more exits than a search keeps apart',
      { ...SOUND, site: { width: 40, depth: 4 }, exits: Array.from({ length: 33 }, () => ({ ...EXIT, to: 39 })) },
      ['list-too-long /exits'],
    ],
    ['an unknown belt', { ...SOUND, exits: [{ ...EXIT, belt: 'Belt' }] }, ['unknown-model /exits/0/belt']],
    ['a range turned round', { ...SOUND, exits: [{ ...EXIT, from: 4, to: 2 }] }, ['range-reversed /exits/0']],
    [
      'a range beyond its edge',
      { ...SOUND, exits: [{ ...EXIT, edge: 'E', from: 3, to: 8 }] },
      ['range-outside /exits/0'],
    ],
    [
      'a range that is kept out',
      { ...SOUND, site: { width: 6, depth: 8, keepOut: [[0, 7, 6, 1]] } },
      ['range-kept-out /exits/0'],
    ],
    ['a range at the wagon', { ...SOUND, exits: [{ ...EXIT, edge: 'N' }] }, ['range-at-wagon /exits/0']],
    [
      'two belts on one place',
      {
        ...SOUND,
        exits: [
          { ...EXIT, from: 2, to: 2 },
          { ...EXIT, from: 2, to: 2 },
        ],
      },
      ['exits-crowded /exits/1'],
    ],
    ['many belts on one place, told once', { ...SOUND, exits: Array.from({ length: 9 }, () => ({ ...EXIT, from: 2, to: 2 })) }, ['exits-crowded /exits/1']],
    ['a fill over 1', withTarget({ fill: '1.01' }), ['share-over-one /exits/0/target/fill']],
    ['a fill that is a number', withTarget({ fill: 1 }), ['not-a-share /exits/0/target/fill']],
    ['a fill by nothing', withTarget({ fill: '1/0' }), ['not-a-share /exits/0/target/fill']],
    ['a rate that is none', withTarget({ rate: '20 per second' }), ['not-a-rate /exits/0/target/rate']],
    ['a negative rate', withTarget({ rate: '-20/s' }), ['not-a-rate /exits/0/target/rate']],
    ['a rate over the belt', withTarget({ rate: '25.1/s' }), ['target-over-capacity /exits/0/target/rate']],
    ['a rate over a lane', withTarget({ left: { rate: '13/s' } }), ['target-over-capacity /exits/0/target/left/rate']],
    ['fill and rate', withTarget({ fill: '1', rate: '1/s' }), ['fill-and-rate /exits/0/target']],
    ['no target', withTarget({}), ['target-empty /exits/0/target']],
    ['no lane target', withTarget({ fill: '1', left: {} }), ['target-empty /exits/0/target/left']],
    ['a target of nothing', withTarget({ rate: '0' }), ['target-zero /exits/0/target']],
    ['an exit without any target', { ...SOUND, exits: [EXIT, { ...EXIT, target: undefined }] }, ['target-missing /exits/1']],
    ['a common target of nothing', { ...SOUND, target: { rate: '0' } }, ['target-zero /target']],
    ['an empty common target', { ...SOUND, target: {} }, ['target-empty /target']],
    ['a common target of a lane', { ...SOUND, target: { fill: '1', left: { fill: '1' } } }, ['unknown-field /target/left']],
    ['a common target over all belts', { ...SOUND, exits: [EXIT, EXIT], target: { rate: '50.1/s' } }, ['target-over-capacity /target/rate']],
    ['a common fill and rate', { ...SOUND, target: { fill: '1', rate: '1/s' } }, ['fill-and-rate /target']],
    ['a common target that is none', { ...SOUND, target: '1' }, ['wrong-type /target']],
    ['a presence of nothing', { ...SOUND, presence: '0' }, ['share-zero /presence']],
    ['a presence over all', { ...SOUND, presence: '5/4' }, ['share-over-one /presence']],
    ['an imbalance over all', { ...SOUND, limits: { imbalance: '2' } }, ['share-over-one /limits/imbalance']],
    ['a dwell that is no time', { ...SOUND, limits: { dwell: 'soon' } }, ['not-a-time /limits/dwell']],
    ['a dwell in half ticks', { ...SOUND, limits: { dwell: '4500.5' } }, ['not-a-time /limits/dwell']],
    ['a dwell that is a number', { ...SOUND, limits: { dwell: 4500 } }, ['wrong-type /limits/dwell']],
    ['a dwell of nothing', { ...SOUND, limits: { dwell: '0s' } }, ['dwell-zero /limits/dwell']],
    ['trains that are no number', { ...SOUND, limits: { trainsPerHour: '-3' } }, ['not-trains /limits/trainsPerHour']],
    ['trains over all that belts carry', { ...SOUND, limits: { trainsPerHour: '45.1' } }, ['trains-over-capacity /limits/trainsPerHour']],
    ['as many beside other faults', { ...SOUND, presence: '0', limits: { trainsPerHour: '45.1' } }, ['share-zero /presence', 'trains-over-capacity /limits/trainsPerHour']],
    ['as many, with a belt that is not known', { ...SOUND, exits: [EXIT, { ...EXIT, belt: 'rope' }], limits: { trainsPerHour: '45.1' } }, ['unknown-model /exits/1/belt']],
    ['as many, with a wagon that is not known', { ...SOUND, wagons: [...SOUND.wagons, { model: 'cart', at: 6 }], limits: { trainsPerHour: '45.1' } }, ['unknown-model /wagons/1/model']],
    [
      'a negative limit',
      { ...SOUND, limits: { cost: -1, part: 3 } },
      ['too-small /limits/cost', 'unknown-field /limits/part'],
    ],
    ['an unknown objective', { ...SOUND, minimise: ['cost', 'beauty'] }, ['not-one-of /minimise/1']],
    ['an objective twice', { ...SOUND, minimise: ['cost', 'parts', 'cost'] }, ['repeated-entry /minimise']],
    [
      "an objective that can't be first",
      { ...SOUND, minimise: ['footprint', 'cost'] },
      ['first-objective /minimise/0'],
    ],
    ['half a start', { ...SOUND, starts: 0.5 }, ['wrong-type /starts']],
    ['an unknown feed', { ...SOUND, feed: 'chest' }, ['not-one-of /feed']],
    ['a negative spotting', { ...SOUND, spotting: -1 }, ['too-small /spotting']],
  ])('%s', (_, json, expected) => {
    expect(parseBrief(json, catalog).ok).toBe(false);
    expect(findingsOf(json)).toEqual(expected);
  });

  it('takes a dwell in seconds or ticks, and as many trains as its belts can carry the load of', () => {
    const limitsOf = (limits: object): Brief['limits'] | undefined => {
      const parsed = parseBrief({ ...SOUND, limits }, catalog);
      return parsed.ok ? parsed.value.limits : undefined;
    };
    expect(limitsOf({ dwell: '90s' })?.dwell?.toFraction()).toBe('4500');
    expect(limitsOf({ dwell: '4500' })?.dwell?.toFraction()).toBe('4500');
    // To the fraction of a tick.
    expect(limitsOf({ dwell: '0.01s' })?.dwell?.toFraction()).toBe('1/2');
    // 25 items a second are 90,000 an hour, in trains of 2000.
    expect(limitsOf({ trainsPerHour: '45' })?.trainsPerHour?.toFraction()).toBe('45');
    expect(limitsOf({})).not.toHaveProperty('dwell');
  });

  it('needs chests if arms shall draw from them, and arms', () => {
    expect(findingsOf({ ...SOUND, feed: 'chests' }, { ...catalog, chests: [], arms: [] })).toEqual([
      'no-arm-model /catalog',
      'no-chest-model /feed',
    ]);
  });

  it('gives all its findings at once, those of the schema and the others', () => {
    const json = {
      ...SOUND,
      naem: 'x',
      site: { width: 6, depth: 8.5 },
      wagons: [{ model: 'wagn', at: 0 }],
      exits: [{ edge: 'S', from: 3, to: 1, belt: 'blt', target: { fill: 'x', left: { rate: '99/s' } } }],
      minimise: ['depth'],
    };
    expect(findingsOf(json)).toEqual([
      'first-objective /minimise/0',
      'not-a-share /exits/0/target/fill',
      'range-reversed /exits/0',
      'target-over-capacity /exits/0/target/left/rate',
      'unknown-field /naem',
      'unknown-model /exits/0/belt',
      'unknown-model /wagons/0/model',
      'wrong-type /site/depth',
    ]);
  });

  it('is checked in form while its catalog is missing', () => {
    expect(gist(checkBriefForm({ ...SOUND, catalog: undefined, starts: -1 }))).toEqual([
      'missing-field',
      'too-small /starts',
    ]);
  });

  it('never throws, and says where, whatever it is given', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 6 }), (json) => {
        const parsed = parseBrief(json, catalog);
        expect(parsed.ok).toBe(false);
        if (parsed.ok) return;
        expect(parsed.findings.length).toBeGreaterThan(0);
        for (const { pointer } of parsed.findings) expect(pointer).toMatch(/^(\/.*)?$/s);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  it('never throws when any one value of a sound one is replaced by junk', () => {
    const demo = readJson('models/briefs/grain-085-even.json');
    const grain = readCatalog('models/catalogs/grain-yard.json');
    let refused = 0;
    fc.assert(
      fc.property(fc.nat(), fc.jsonValue({ maxDepth: 2 }), (place, junk) => {
        const parsed = parseBrief(withJunk(demo, place, junk), grain);
        if (!parsed.ok) refused += 1;
        expect(parsed.ok || parsed.findings.length > 0).toBe(true);
      }),
      { seed: SEED, numRuns: 500 },
    );
    expect(refused).toBeGreaterThan(0);
  });
});

describe('belts that crowd an edge', () => {
  it('are told by the same verdict as trying every assignment', () => {
    const range = fc.tuple(fc.nat(4), fc.nat(4)).map(([a, b]) => ({ from: Math.min(a, b), to: Math.max(a, b) }));
    const fits = (ranges: readonly { from: number; to: number }[], taken: readonly number[]): boolean => {
      const [first, ...rest] = ranges;
      if (first === undefined) return true;
      return Array.from({ length: first.to - first.from + 1 }, (_, index) => first.from + index).some(
        (place) => !taken.includes(place) && fits(rest, [...taken, place]),
      );
    };
    const verdicts = { fits: 0, crowded: 0 };
    fc.assert(
      fc.property(fc.array(range, { minLength: 1, maxLength: 5 }), (ranges) => {
        const site = { width: 5, depth: 3, keepOut: [[2, 2, 1, 1]] };
        const exits = ranges.map(({ from, to }) => ({ ...EXIT, from, to }));
        const found = findingsOf({ ...SOUND, site, exits });
        const blocked = ranges.some(({ from, to }) => from === 2 && to === 2);
        const expected = blocked || fits(ranges, [2]);
        if (!blocked) verdicts[expected ? 'fits' : 'crowded'] += 1;
        expect(blocked || found.some((line) => line.startsWith('exits-crowded')) === !expected).toBe(true);
      }),
      { seed: SEED, numRuns: 400 },
    );
    expect(Math.min(verdicts.fits, verdicts.crowded)).toBeGreaterThan(0);
  });
});
