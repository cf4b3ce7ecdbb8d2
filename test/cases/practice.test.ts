/**
 * Plans as those who lay out such yards build them, and what these are said to do: common practice, no
 * source. The values follow by hand from the world rules with U 240, P 60, v 15, payload 12, swing 13,
 * grab 1, release 1, slack 0: a hand needs 1 + 2 x 13 + 1 = 28 ticks besides its placing. A lane carries
 * at most 1/4 item per tick. Single arms and other worked values are in `test/simulation/values.test.ts`.
 */
import { describe, expect, it } from 'vitest';
import { ONE } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { drawLayout } from '../../src/report/draw-layout.js';
import { plainInks } from '../../src/report/ink.js';
import { runTrial } from '../../src/simulation/trial.js';
import { catalogOf, gist, jsonFiles, readJson } from '../documents.js';

const PLANS = jsonFiles('test/cases').filter((path) => /\/practice-[^/]*\.json$/.test(path));

function planAt(path: string): Layout {
  const parsed = parsePlan(readJson(path), catalogOf(path));
  if (!parsed.ok) throw new Error(`${path}: ${gist(parsed.findings).join(', ')}`);
  expect(gist(parsed.warnings)).toEqual([]);
  return parsed.value;
}

const text = (value: { toFraction(): string } | undefined): string => value?.toFraction() ?? 'none';

/** What a plan does from all of 17 starts, as text: fills and gaps of each exit's lanes, chests and loading arms. */
function practice(name: string): {
  readonly fills: readonly (readonly [left: string, right: string])[];
  readonly gaps: readonly (readonly [left: number | undefined, right: number | undefined])[];
  readonly drained: readonly string[];
  readonly cycles: readonly string[];
  readonly imbalance: string;
} {
  const layout = planAt(`test/cases/practice-${name}.json`);
  const result = runTrial(layout, { starts: 16, seed: 1, tickLimit: 200_000, presence: ONE });
  expect(result.exact).toBe(true);
  expect(result.chests.every(({ keepsUp }) => keepsUp)).toBe(true);
  return {
    fills: result.exits.map(({ left, right }) => [text(left.fill), text(right.fill)]),
    gaps: result.exits.map(({ left, right }) => [left.largestGap, right.largestGap]),
    drained: result.chests.map(({ outflow }) => text(outflow)),
    // Arms of the first row only fill chests.
    cycles: result.arms.filter(({ at }) => at.y > 0).map(({ cycleTicks }) => text(cycleTicks)),
    imbalance: text(result.imbalance),
  };
}

describe('common practice', () => {
  it.each(PLANS)('%s is legal, without warnings, and can be drawn', (path) => {
    const layout = planAt(path);
    const lines = drawLayout(layout, { ink: plainInks, ascii: true });
    expect(lines.length).toBeGreaterThanOrEqual(2 * layout.site.depth);
    expect(lines.filter((line) => !/^[ -~]*$/.test(line))).toEqual([]);
  });

  it('two arms that drop straight onto the lanes of a belt leave wide gaps', () => {
    // 12 items 4 ticks apart: 28 + 11 x 4 = 72 ticks. From a hand's last item to the next one's first: 28 x 15 units.
    const { fills, gaps, cycles } = practice('two-lanes');
    expect({ fills, gaps, cycles }).toEqual({ fills: [['2/3', '2/3']], gaps: [[420, 420]], cycles: ['72', '72'] });
  });

  it('an arm behind a splitter gains nothing and keeps to one half', () => {
    const { fills, cycles } = practice('behind-splitter');
    expect({ fills, cycles }).toEqual({ fills: [['0', '2/3'], ['0', '0']], cycles: ['72'] });
  });

  it("an arm at a splitter's side empties its hand about one and a half times as fast", () => {
    // Two outputs take 6 each, 4 ticks apart, the second a tick after the first: 28 + 1 + 5 x 4 = 49.
    const { fills, cycles } = practice('beside-splitter');
    expect({ fills, cycles }).toEqual({ fills: [['24/49', '0'], ['24/49', '0']], cycles: ['49'] });
  });

  it('two such arms, with the outputs joined by opposed tee merges, nearly saturate the belt', () => {
    const { fills, gaps, drained } = practice('two-at-splitter');
    expect({ fills, gaps, drained }).toEqual({ fills: [['48/49', '48/49']], gaps: [[75, 75]], drained: ['12/49', '12/49'] });
  });

  it('and saturate it where an item may miss its spot by more than it moves in a tick', () => {
    const { fills, gaps, drained } = practice('two-at-splitter-slack-18');
    expect({ fills, gaps, drained }).toEqual({ fills: [['1', '1']], gaps: [[60, 60]], drained: ['1/4', '1/4'] });
  });

  it('three arms at splitters of their own saturate it, and the chest merged last is drained twice as fast', () => {
    // At the last splitter the third belt may take half of each lane, more than the 6/49 it brings; the other
    // two share what is left of 1/4: 1/4 - 6/49 = 25/196 a lane, so each of them, with its two lanes, has 25/196.
    const { fills, gaps, drained, cycles } = practice('three-splitters');
    expect({ fills, gaps, drained }).toEqual({ fills: [['1', '1']], gaps: [[60, 60]], drained: ['25/196', '25/196', '12/49'] });
    expect(cycles).toEqual(['2352/25', '2352/25', '49']);
  });

  it("two straight arms saturate it evenly with a third one's flow teed into both belts from the side", () => {
    const { fills, drained, cycles, imbalance } = practice('third-from-the-side');
    expect({ fills, imbalance }).toEqual({ fills: [['1', '1']], imbalance: '0' });
    expect({ drained, cycles }).toEqual({ drained: ['1/6', '1/6', '1/6'], cycles: ['72', '72', '72'] });
  });

  it('but give 11/12 of it when that flow feeds their belts from behind', () => {
    // The fills of the two lanes, 5/6 and 1, are 11/12 of the belt.
    const { fills, drained } = practice('third-from-behind');
    expect(fills).toEqual([['5/6', '1']]);
    expect([...drained].sort()).toEqual(['1/6', '1/6', '1/8']);
  });
});
