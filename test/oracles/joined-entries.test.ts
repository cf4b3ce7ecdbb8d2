/**
 * Belts that come in and are joined by arms alone, as where one sets down on another's belt (world rules, section 11,
 * *Loading*): what of each gets into wagons, told from the second simulator's counts by the rule as it stands there, is
 * what the first one tells, what the audit tells, and what a replay holds a log to.
 */
import { describe, expect, it } from 'vitest';
import { carriedOff } from '../../src/audit/loading-shortfall.js';
import { flowsFrom } from '../../src/audit/steady-flow.js';
import type { Heading } from '../../src/base/geometry.js';
import { formatRational, isLess, maxRational, ONE, ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { entriesOf, type Layout } from '../../src/layout/layout.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { writeParts } from '../../src/layout/write-plan.js';
import { leastLoaded } from '../../src/simulation/loading-flows.js';
import { termsByTarget } from '../../src/tasks/mend-terms.js';
import { lineOf, logOfDesign, sealedAnew, unsealed, verdictOf } from '../audit/logs.js';
import { loadJobOf } from '../documents.js';
import { catalogOf, tinyLayout } from './tiny-repairs.js';
import { referenceFlow } from './reference-flow.js';

type At = readonly [number, number];

interface Case {
  readonly what: string;
  /** As in `tinyLayout`. */
  readonly rows: readonly string[];
  readonly entries: readonly (readonly [...At, Heading])[];
  /** Arms that place into a wagon, and into a chest that is emptied into one. */
  readonly straight: readonly At[];
  readonly byChests: readonly At[];
}

/** Belts from one side bring onto one lane, so that the arm finds room on the other. */
const ONTO_ONE_LANE: Case = {
  what: 'each belt has a lane of the one from which the wagon is filled',
  rows: ['..N.', '>E^.', '>>^.', '..^.'],
  entries: [[0, 1, 'E'], [0, 2, 'E']],
  straight: [[2, 0]],
  byChests: [],
};

const LOST: Case = {
  what: 'an arm sets down on a belt of which nothing gets into wagons',
  rows: ['N.^Eo', '^E^..', '^>^..', '^^^..'],
  entries: [[0, 3, 'N'], [1, 3, 'N']],
  straight: [[0, 0]],
  byChests: [],
};

const CASES: readonly Case[] = [
  ONTO_ONE_LANE,
  LOST,
  {
    what: 'an arm sets down on the belt from which the wagon is filled',
    rows: ['N...', '^W^.', '^.^.'],
    entries: [[0, 2, 'N'], [2, 2, 'N']],
    straight: [[0, 0]],
    byChests: [],
  },
  {
    what: 'both fill the wagon, and some is lost to a chest that nothing empties',
    rows: ['N.N..', '^W^..', '^.^Eo'],
    entries: [[0, 2, 'N'], [2, 2, 'N']],
    straight: [[0, 0], [2, 0]],
    byChests: [],
  },
  {
    what: 'all goes by a chest',
    rows: ['N...', 'o...', 'N...', '^W^.', '^.^.'],
    entries: [[0, 4, 'N'], [2, 4, 'N']],
    straight: [],
    byChests: [[0, 2]],
  },
  {
    what: 'arms join three in a row',
    rows: ['N.N..', '^W^W^', '^.^.^'],
    entries: [[0, 2, 'N'], [2, 2, 'N'], [4, 2, 'N']],
    straight: [[0, 0], [2, 0]],
    byChests: [],
  },
];

const PATIENCE = { mostTicks: 20_000, shouldStop: () => false };
const STANDARD = { starts: 0, seed: 1, tickLimit: 20_000 };
const PRESENCE = ratio(9, 10);

const layoutOf = ({ rows, entries }: Case): Layout => ({
  ...tinyLayout(rows, catalogOf(undefined)),
  entries: entries.map(([x, y, heading]) => ({ at: { x, y }, heading, give: undefined })),
});

/** All entries of a case are joined: of each counts what comes in, less all that comes in and that no such arm takes. */
function byTheRule(layout: Layout, { straight, byChests }: Case, presence: Rational): readonly Rational[] {
  const { exact, entries, arms } = referenceFlow(layout, PATIENCE.mostTicks);
  expect(exact).toBe(true);
  const takenBy = (places: readonly At[]): Rational =>
    sumRational(places.map(([x, y]) => arms.find(({ at }) => at.x === x && at.y === y)?.flow ?? ratio(-1)));
  const cameIn = entries.map(({ left, right }) => left.add(right));
  const left = sumRational(cameIn).sub(takenBy(straight)).sub(takenBy(byChests));
  return cameIn.map((flow) => maxRational(ZERO, flow.sub(left)).mul(straight.length > 0 ? presence : ONE));
}

/** What is asked of each entry; next to nothing of all together, since where nothing is asked of an entry, something is of all. */
function briefFor(layout: Layout, presence: Rational, asked: readonly Rational[]): Brief {
  const { brief } = termsByTarget(layout, (entry) => asked[entry]);
  return { ...brief, load: { ...loadJobOf(brief), together: ratio(1, 1000) }, presence, starts: 0 };
}

/** What a replay finds in a line that says that the layout passes, or falls short of an entry, put into the log of a design that was cut short. */
async function flawsOfJudged(layout: Layout, brief: Brief, shortOf: number | undefined): Promise<readonly string[]> {
  const bare = unsealed(await logOfDesign(brief, undefined, ({ step }) => step === 'began'));
  const parts = writeParts(layout);
  const delays = parts.flatMap(({ kind }) => (kind === 'arm' ? [0] : []));
  const judged = {
    step: 'judged',
    verdict: shortOf === undefined ? 'passes' : 'fails',
    signature: 'of its own',
    stub: false,
    parts,
    exits: [],
    entries: entriesOf(layout).map(({ at: { x, y }, heading }, demand) => ({ at: [x, y], heading, demand })),
    ...(shortOf === undefined ? {} : { failing: { kind: 'entry', entry: shortOf, wagonsMoved: 0, delays } }),
  };
  const line = lineOf(bare, 'began');
  const { verdict, flaws } = await verdictOf(sealedAnew([...bare.slice(0, line), judged, ...bare.slice(line)]));
  expect(verdict).toBe(flaws.length > 0 ? 'broken' : 'holds');
  return flaws.map((flaw) => `${flaw.line === line + 1 ? '' : `line ${flaw.line}: `}${flaw.kind}`);
}

describe.each(CASES)('where $what', (each) => {
  const layout = layoutOf(each);

  it('both simulators tell of each entry what the rule says', () => {
    expect(checkLegality(layout).filter(({ severity }) => severity === 'error')).toEqual([]);
    for (const presence of [ONE, PRESENCE]) {
      const expected = byTheRule(layout, each, presence).map(formatRational);
      expect(leastLoaded(layout, STANDARD, presence)?.entries.map(formatRational)).toEqual(expected);
      expect(carriedOff(layout, flowsFrom(layout, { delays: [] }, PATIENCE), presence).map(formatRational)).toEqual(expected);
    }
  });

  it('a replay holds just as much to be met, and more to be missed', async () => {
    const found = byTheRule(layout, each, PRESENCE);
    // A chest that nothing empties is a shortfall of its own.
    const fillsUp = each.rows.join('').includes('o') && each.byChests.length === 0;
    const met = briefFor(layout, PRESENCE, found);
    expect(await flawsOfJudged(layout, met, undefined)).toEqual(fillsUp ? ['short'] : []);
    for (const entry of found.keys()) {
      expect(await flawsOfJudged(layout, met, entry)).toEqual(['not-short']);
      const more = briefFor(layout, PRESENCE, found.map((flow, index) => (index === entry ? flow.add(ratio(1, 1000)) : flow)));
      expect(await flawsOfJudged(layout, more, entry)).toEqual([]);
      expect((await flawsOfJudged(layout, more, undefined)).slice(0, 1)).toEqual(['short']);
    }
  });
});

it('an entry counts by what arms beside the other belts take', () => {
  const found = CASES.map((each) => byTheRule(layoutOf(each), each, ONE));
  const [onto, lost] = [ONTO_ONE_LANE, LOST].map((each) => found[CASES.indexOf(each)]);
  // No arm carries from the first belt into the wagon, and both count.
  expect(onto.map((flow) => isLess(ZERO, flow))).toEqual([true, true]);
  // All that the wagon gets is taken beside the first belt; less of it counts.
  const [{ flow }] = referenceFlow(layoutOf(LOST), PATIENCE.mostTicks).arms.filter(({ at }) => at.x === LOST.straight[0][0] && at.y === LOST.straight[0][1]);
  expect(isLess(lost[0], flow)).toBe(true);
});
