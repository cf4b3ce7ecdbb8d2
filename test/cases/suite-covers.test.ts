/**
 * What the suite covers, counted from its briefs as they are read, not from their names; and whether the
 * table on it says of each what it should.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readBrief } from '../../bench/cases.js';
import { sizeOf, suiteCases, suiteTable } from '../../bench/suite-cases.js';
import { compare, formatRational, isLess, ONE, ratio, type Rational } from '../../src/base/rational.js';
import type { Brief, ExitDemand } from '../../src/brief/brief.js';
import { jsonFiles } from '../documents.js';

const CASES = suiteCases().map((which) => ({ ...which, brief: readBrief(which.path) }));
const TABLE = suiteTable();

const fillOf = ({ belt, target }: ExitDemand, { catalog }: Brief): Rational => target.total.div(ratio(2 * belt.speed, catalog.pitch));
const isWhole = ({ belt }: ExitDemand, { catalog }: Brief): boolean => catalog.pitch % belt.speed === 0;

/** How many briefs there are of each value that `valuesOf` gives for them. */
function countBy(valuesOf: (brief: Brief) => readonly (string | number)[]): Readonly<Record<string, number>> {
  const counts: Record<string, number> = {};
  for (const { brief } of CASES) for (const value of new Set(valuesOf(brief))) counts[value] = (counts[value] ?? 0) + 1;
  return counts;
}

const howMany = (holds: (brief: Brief) => boolean): number => CASES.filter(({ brief }) => holds(brief)).length;
const beltsOf = (brief: Brief, speed: number, fill: Rational): boolean =>
  brief.exits.some((exit) => exit.belt.speed === speed && compare(fillOf(exit, brief), fill) === 0);

describe('the suite', () => {
  it('has at least 44 briefs, numbered without a gap, each in the table', () => {
    expect(CASES.length).toBeGreaterThanOrEqual(44);
    CASES.forEach(({ name }, index) => {
      expect(name.startsWith(`suite-${String(index + 1).padStart(2, '0')}-`), name).toBe(true);
    });
    expect(TABLE.briefs.map(({ name }) => name)).toEqual(CASES.map(({ name }) => name));
  });

  it('uses each of its catalogs', () => {
    const texts = CASES.map(({ path }) => readFileSync(path, 'utf8'));
    const catalogs = jsonFiles('test/cases').flatMap((path) => /suite-[^/]*-catalog\.json$/.exec(path) ?? []);
    expect(catalogs.length).toBeGreaterThan(4);
    expect(catalogs.filter((name) => !texts.some((text) => text.includes(`"${name}"`)))).toEqual([]);
  });

  it('asks for one to four belts from one to four wagons', () => {
    for (const counts of [countBy(({ exits }) => [exits.length]), countBy(({ wagons }) => [wagons.length])]) {
      expect(Object.keys(counts)).toEqual(['1', '2', '3', '4']);
      expect(Math.min(...Object.values(counts)), JSON.stringify(counts)).toBeGreaterThanOrEqual(2);
    }
    expect(howMany(({ wagons, exits }) => wagons.length > 1 && exits.length > 1)).toBeGreaterThanOrEqual(4);
  });

  it('asks for little, most and all of a belt', () => {
    const fills = countBy((brief) => brief.exits.map((exit) => formatRational(fillOf(exit, brief))));
    for (const fill of ['3/10', '3/5', '17/20', '97/100', '1']) expect(fills[fill], fill).toBeGreaterThanOrEqual(3);
    expect(howMany(({ exits }) => exits.some(({ target }) => compare(target.left, ratio(0)) > 0))).toBeGreaterThan(0);
  });

  it('has sites from 4 x 5 to 24 x 20, with and without obstacles', () => {
    const sites = CASES.map(({ brief: { site } }) => `${site.width} x ${site.depth}`);
    expect(sites).toContain('4 x 5');
    expect(sites).toContain('24 x 20');
    expect(new Set(sites).size).toBeGreaterThan(10);
    expect(Math.min(...CASES.map(({ brief }) => sizeOf(brief).tiles))).toBe(20);
    expect(Math.max(...CASES.map(({ brief }) => sizeOf(brief).tiles))).toBe(480);
    const obstacles = howMany(({ site }) => site.keepOut.length > 0);
    expect(obstacles).toBeGreaterThanOrEqual(3);
    expect(obstacles).toBeLessThan(CASES.length / 2);
  });

  it('lets belts leave over three edges, also over several at once', () => {
    const edges = countBy(({ exits }) => exits.map(({ edge }) => edge));
    for (const edge of ['E', 'S', 'W']) expect(edges[edge], edge).toBeGreaterThanOrEqual(3);
    expect(howMany(({ exits }) => new Set(exits.map(({ edge }) => edge)).size > 1)).toBeGreaterThanOrEqual(1);
  });

  it('offers far arms, several tiers and models, small and large hands, slack and none', () => {
    expect(howMany(({ catalog }) => catalog.arms.some(({ reach }) => reach === 2))).toBeGreaterThanOrEqual(2);
    expect(howMany(({ catalog }) => catalog.belts.length > 1)).toBeGreaterThanOrEqual(2);
    expect(howMany(({ catalog }) => catalog.arms.length > 1)).toBeGreaterThanOrEqual(2);
    const payloads = Object.keys(countBy(({ catalog }) => catalog.arms.map(({ payload }) => payload))).map(Number);
    expect([Math.min(...payloads), Math.max(...payloads)]).toEqual([1, 24]);
    expect(payloads.length).toBeGreaterThan(5);
    expect(howMany(({ catalog }) => catalog.arms.some(({ slack }) => slack > 0))).toBeGreaterThan(0);
    expect(howMany(({ catalog }) => catalog.arms.every(({ slack }) => slack === 0))).toBeGreaterThan(0);
  });

  it('has belts of which a pitch takes whole ticks, and others', () => {
    expect(howMany((brief) => brief.exits.every((exit) => isWhole(exit, brief)))).toBeGreaterThan(0);
    expect(howMany((brief) => brief.exits.some((exit) => !isWhole(exit, brief)))).toBeGreaterThanOrEqual(2);
    expect(howMany((brief) => brief.catalog.pitch === 60 && beltsOf(brief, 14, ratio(4, 5)))).toBeGreaterThan(0);
    expect(howMany((brief) => beltsOf(brief, 12, ONE))).toBeGreaterThan(0);
  });

  it('feeds by chests, straight, or either way, from wagons that are there always or at times', () => {
    const feeds = countBy(({ feed }) => [feed]);
    expect(Object.keys(feeds).sort()).toEqual(['chests', 'direct', 'either']);
    expect(howMany(({ presence }) => isLess(presence, ONE))).toBeGreaterThanOrEqual(2);
    expect(howMany(({ spotting }) => spotting > 0)).toBeGreaterThan(0);
  });
});

/** Of a site that is hard for its area: two and a half times the headline's. */
const LARGE_TILES = 120;

/** What the README beside the suite says of goals for a proof. */
function proofGoal(brief: Brief): number | undefined {
  const { exits, wagons } = brief;
  const upToThreeFifths = exits.every((exit) => compare(fillOf(exit, brief), ratio(3, 5)) <= 0);
  if (exits.length === 1) return 2;
  if (exits.length === 2) return wagons.length === 1 ? 30 : 60;
  return exits.length === 3 && upToThreeFifths ? 60 : undefined;
}

describe('the table of the suite', () => {
  it('gives each brief its goals', () => {
    const goals = CASES.map(({ brief }) => {
      const proofSeconds = proofGoal(brief);
      return { firstLayoutSeconds: 2, ...(proofSeconds === undefined ? {} : { proofSeconds }) };
    });
    expect(TABLE.briefs.map((entry) => entry.goals)).toEqual(goals);
  });

  it('says what is hard where it is', () => {
    TABLE.briefs.forEach(({ name, hardFor }, index) => {
      const { belts, wagons, tiles } = sizeOf(CASES[index].brief);
      expect(hardFor.includes('belts'), name).toBe(belts > 1);
      expect(hardFor.includes('wagons'), name).toBe(wagons > 1);
      expect(hardFor.includes('area'), name).toBe(tiles >= LARGE_TILES);
    });
    expect(TABLE.briefs.filter(({ hardFor }) => hardFor.includes('catalog')).length).toBeGreaterThan(5);
  });

  it('has a series of each size, growing', () => {
    expect(new Set(TABLE.series.map(({ counts }) => counts))).toEqual(new Set(['belts', 'wagons', 'tiles']));
    for (const { counts, title, briefs } of TABLE.series) {
      const sizes = briefs.map((name) => CASES.find((each) => each.name === name)).map((found) => (found === undefined ? 0 : sizeOf(found.brief)[counts]));
      expect(sizes.length, title).toBeGreaterThanOrEqual(3);
      expect(sizes, title).toEqual([...new Set(sizes)].filter((size) => size > 0).sort((a, b) => a - b));
    }
  });
});
