/**
 * How a plan is mended, for a reader at a terminal: the verdict, before and after side by side, numbered steps with their
 * prices, flows before and after, and what was proven. As JSON in `mend-json.ts`.
 */
import { compare, formatRational, isLess, ONE, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { LoadJob } from '../brief/load-job.js';
import { beltCapacity, tilesOf, underpassHeading, type Layout, type Part } from '../layout/layout.js';
import type { PromisedFlows } from '../ranking/promise.js';
import type { LaneFlows } from '../simulation/lane-flows.js';
import type { LoadedFlows, Overfull } from '../simulation/trial-result.js';
import type { Mend, MendOutcome, MendStep } from '../synthesis/repair/mend-outcome.js';
import { styled, type Style } from './canvas.js';
import { STOPPED } from './design-text.js';
import { drawLayout } from './draw-layout.js';
import { article, entryNumber, exitLetter } from './labels.js';
import { plainInks } from './ink.js';
import { counted, percent, perSecondText, secondsText } from './numbers.js';
import { EDGE_WORD, tileText } from './places.js';
import { listed } from './reason-text.js';
import { offsetText } from './spotting-text.js';
import { fittingTable, lineWidth, proseWidth, titleLines, verdictLines, wrap, type Table } from './table.js';
import { textWidth } from './text-width.js';

/** Least flows over all starts; `loaded` where belts come in and all is proven. */
export interface GivenFlows extends PromisedFlows {
  readonly loaded: LoadedFlows | undefined;
}

export interface MendFinding {
  readonly layout: Layout;
  /** What was asked, with exits or entries in the order of the layout's. */
  readonly brief: Brief;
  /** The same where wagons are filled. */
  readonly askedLoaded: LoadedFlows | undefined;
  readonly outcome: MendOutcome;
  /** What the plan gives, and the mended one, if there is one; undefined where a limit of time left none to simulate it. */
  readonly before: GivenFlows | undefined;
  readonly after: GivenFlows | undefined;
  /** Undefined where nothing flows, or it is not known either. */
  readonly lanesBefore: LaneFlows | undefined;
  readonly lanesAfter: LaneFlows | undefined;
  /** Of the plan as it stands, where it fills wagons: a chest that is given too much, with the wagons `offset` tiles further along x than planned. */
  readonly overfull: (Overfull & { readonly offset: number }) | undefined;
}

function placeWords(part: Part): string {
  const [at, other] = tilesOf(part);
  switch (part.kind) {
    case 'chest':
      return `at ${tileText(at)}`;
    case 'underpass':
      return `from ${tileText(at)} to ${tileText(other)}, heading ${EDGE_WORD[underpassHeading(part)]}`;
    case 'splitter':
      return `at ${tileText(at)} and ${tileText(other)}, heading ${EDGE_WORD[part.heading]}`;
    default:
      return `at ${tileText(at)}, heading ${EDGE_WORD[part.heading]}`;
  }
}

const standsAt = (part: Part): string => {
  const [at, other] = tilesOf(part);
  return part.kind === 'splitter' || part.kind === 'underpass' ? `${tileText(at)} and ${tileText(other)}` : tileText(at);
};

export function stepWords(step: MendStep): string {
  const { part } = step;
  switch (step.kind) {
    case 'remove':
      return `take away the ${part.model.name} at ${standsAt(part)}`;
    case 'turn':
      return `turn the ${part.model.name} at ${standsAt(part)} to the ${EDGE_WORD[step.heading]}`;
    case 'add':
      return `add ${article(part.model.name)} ${placeWords(part)}`;
  }
}

/** One or two sentences that say what is known, and no more than that. */
export function mendVerdict(outcome: MendOutcome): string {
  const { bound } = outcome.proof;
  const least = Number.isFinite(bound) && bound > 0 ? ` Any repair costs at least ${bound}.` : '';
  switch (outcome.status) {
    case 'optimal':
      return outcome.mend.steps.length === 0
        ? 'the plan gives all that is asked, so there is nothing to do.'
        : `a repair for ${outcome.mend.price}; none in the searched space costs less.`;
    case 'feasible':
      return `a repair for ${outcome.mend.price}, but a cheaper one may exist: ${STOPPED[outcome.stoppedBy]} before the proof.${least}`;
    case 'infeasible':
      return 'no layout of the searched space gives what is asked: all were ruled out, by bounds or by simulation. Ask for less, keep less, or design the station anew.';
    case 'unknown':
      return `${STOPPED[outcome.stoppedBy]} before a repair was found, or shown that there is none.${least}`;
  }
}

const HEADLINE = { optimal: 'Mended', feasible: 'Mended', infeasible: "Can't be mended", unknown: 'Unknown' } as const;
const INKS = { optimal: 'good', feasible: 'warn', infeasible: 'bad', unknown: 'warn' } as const;

const isSound = (outcome: MendOutcome): boolean => outcome.status === 'optimal' && outcome.mend.steps.length === 0;

export const mendHeadline = (outcome: MendOutcome): string => (isSound(outcome) ? 'Sound' : HEADLINE[outcome.status]);

/** The repair that was found. */
export const repairOf = ({ outcome }: MendFinding): Mend | undefined => (outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.mend : undefined);

function verdictOf({ outcome }: MendFinding, style: Style): readonly string[] {
  return verdictLines(mendHeadline(outcome), INKS[outcome.status], mendVerdict(outcome), proseWidth(style), style);
}

const GAP = 4;

/** The two pictures beside each other if the terminal is wide enough, else below each other. */
function pictures(finding: MendFinding, mended: Layout, style: Style): readonly string[] {
  const before = [styled(style, 'title', 'Before'), ...drawLayout(finding.layout, style, finding.lanesBefore)];
  const after = [styled(style, 'title', 'After'), ...drawLayout(mended, style, finding.lanesAfter)];
  const width = Math.max(...before.map((line) => textWidth(line)));
  const whole = width + GAP + Math.max(...after.map((line) => textWidth(line)));
  if (style.columns !== undefined && whole > style.columns) return [...before, '', ...after];
  return Array.from({ length: Math.max(before.length, after.length) }, (_, row) => {
    const left = before.at(row) ?? '';
    return `${left}${' '.repeat(width + GAP - textWidth(left))}${after.at(row) ?? ''}`.trimEnd();
  });
}

function stepLines(steps: readonly MendStep[], style: Style): readonly string[] {
  const price = steps.reduce((sum, step) => sum + step.price, 0);
  const rows = steps.map((step, index) => [`${index + 1}.`, styled(style, 'plain', stepWords(step)), String(step.price)]);
  const table: Table = { rows: [...rows, ['', styled(style, 'dim', 'in all'), String(price)]], align: ['right', 'left', 'right'], names: 2, told: ['', '', styled(style, 'dim', 'price')] };
  return [styled(style, 'title', 'Steps'), ...fittingTable(style, table)];
}

/** What is asked and given in one regard; `share`: the first as a share of what could flow there. */
export interface LoadingRow {
  readonly name: string;
  readonly asked: Rational;
  readonly share: Rational | undefined;
  readonly before: Rational | undefined;
  readonly after: Rational | undefined;
}

/** What each entry brings into wagons, what each wagon gets, and all of them. */
export function loadingRows({ layout, before, after }: MendFinding, job: LoadJob, { entries, wagons, together }: LoadedFlows): readonly LoadingRow[] {
  const row = (name: string, asked: Rational, most: Rational | undefined, flow: (loaded: LoadedFlows) => Rational): LoadingRow => ({
    name,
    asked,
    share: most && asked.div(most),
    before: before?.loaded && flow(before.loaded),
    after: after?.loaded && flow(after.loaded),
  });
  return [
    ...job.entries.map(({ belt, edge }, entry) => row(`${entryNumber(entry)}, ${EDGE_WORD[edge]} edge`, entries[entry], beltCapacity(layout.catalog, belt), (loaded) => loaded.entries[entry])),
    ...layout.wagons.map(({ at }, wagon) => row(`wagon from x = ${at}`, wagons[wagon], undefined, (loaded) => loaded.wagons[wagon])),
    ...(layout.wagons.length === 1 && together.equals(ZERO) ? [] : [row('all wagons', together, undefined, (loaded) => loaded.together)]),
  ];
}

/** Of each exit and of lanes with targets of their own: what is asked, and what it gives before and after. */
export function flowRows(finding: MendFinding, style: Style): readonly (readonly string[])[] {
  const { layout, brief, before, after } = finding;
  const { ticksPerSecond, pitch } = layout.catalog;
  const rate = (flow: Rational): string => perSecondText(flow, ticksPerSecond);
  const dim = (text: string): string => styled(style, 'dim', text);
  const cell = (flows: GivenFlows | undefined, flow: Rational | undefined, asked: Rational): string => {
    if (flow === undefined) return styled(style, 'warn', flows === undefined ? 'not known' : 'unproven');
    return styled(style, isLess(flow, asked) ? 'bad' : 'good', rate(flow));
  };
  const cells = (asked: Rational, was: Rational | undefined, is: Rational | undefined): readonly string[] => [cell(before, was, asked), hasAfter(finding) ? cell(after, is, asked) : ''];
  if (brief.load !== undefined && finding.askedLoaded !== undefined) {
    return loadingRows(finding, brief.load, finding.askedLoaded).map(({ name, asked, share, before: was, after: is }) => [
      name,
      compare(asked, ZERO) === 0 ? dim('nothing') : `${rate(asked)}${share === undefined ? '' : `  ${percent(share)}`}`,
      ...cells(asked, was, is),
    ]);
  }
  const rows = brief.exits.flatMap(({ target, belt, edge }, exit) => {
    const saturated = ratio(2 * belt.speed, pitch);
    const name = `${exitLetter(exit)}, ${EDGE_WORD[edge]} edge`;
    const lanes = (['left', 'right'] as const).filter((side) => compare(target[side], ZERO) > 0);
    const row = (words: string, asked: Rational, most: Rational, lane: 'flow' | 'left' | 'right'): readonly string[] => [
      words,
      compare(asked, ZERO) === 0 ? dim('nothing') : `${rate(asked)}  ${percent(asked.div(most))}`,
      ...cells(asked, before?.exits[exit][lane], after?.exits[exit][lane]),
    ];
    return [row(name, target.total, saturated, 'flow'), ...lanes.map((side) => row(`  ${side} lane`, target[side], saturated.div(2), side))];
  });
  const { together } = brief;
  const sum = together === undefined ? [] : [['all together', rate(together), ...cells(together, before?.together, after?.together)]];
  return [...rows, ...sum];
}

/** What the rows of flows tell of. */
export const flowsHead = ({ brief: { load } }: MendFinding): string => (load === undefined ? 'exit' : 'entry, wagon');

/** Whether there is a mended plan to tell of. */
export const hasAfter = (finding: MendFinding): boolean => repairOf(finding) !== undefined;

/** Of what there was no time left to simulate, once the run was stopped. */
function untold(finding: MendFinding): string {
  const isUntold = hasAfter(finding) && finding.after === undefined;
  if (finding.before !== undefined && !isUntold) return '';
  return ` No time was left to simulate what is not known.${isUntold ? ' The mended plan gives what is asked, but promises nothing.' : ''}`;
}

export function flowsNote(finding: MendFinding): string {
  const { starts, spotting, load } = finding.brief;
  const entries = load === undefined ? '' : 'Of an entry: what of it gets into wagons. ';
  const from = starts === 0 ? 'From the standard start alone' : `The least from the standard start and ${counted(starts, 'staggered start')}`;
  const stops = spotting === 0 ? '' : `, ${starts === 0 ? 'the least ' : ''}wherever the wagons stop within ${counted(spotting, 'tile')}`;
  return `${entries}${from}${stops}.${untold(finding)}`;
}

/** Which chest of the plan is given too much, and which arms carry off too little: else all flows may look as asked. */
export function overfullSentence({ layout, brief: { presence }, overfull }: MendFinding): string | undefined {
  if (overfull === undefined) return undefined;
  const { chest, arms, inflow, carryOff, offset } = overfull;
  const { ticksPerSecond } = layout.catalog;
  const isClose = perSecondText(inflow, ticksPerSecond) === perSecondText(carryOff, ticksPerSecond);
  const rate = (flow: Rational): string => `${perSecondText(flow, ticksPerSecond)}${isClose ? ` (${formatRational(flow)} per tick)` : ''}`;
  const who = arms.length === 1 ? `the arm at ${tileText(arms[0])} carries` : `the arms at ${listed(arms.map(tileText))} carry`;
  const when = presence.equals(ONE) ? '' : `, as wagons stand there ${formatRational(presence)} of the time`;
  const where = offset === 0 ? '' : `, where wagons stop ${offsetText(offset)}`;
  return `Before, the chest at ${tileText(chest)} fills up${where}: ${rate(inflow)} come in, and ${who} off ${rate(carryOff)} at most${when}.`;
}

function flowLines(finding: MendFinding, style: Style): readonly string[] {
  const sentence = overfullSentence(finding);
  const heads = [flowsHead(finding), 'asked', 'before', hasAfter(finding) ? 'after' : ''].map((word) => styled(style, 'dim', word));
  return [
    styled(style, 'title', 'Flows'),
    ...fittingTable(style, { heads, rows: flowRows(finding, style), align: ['left', 'right', 'right', 'right'], told: ['', ...heads.slice(1)] }),
    ...wrap(flowsNote(finding), lineWidth(style)).map((line) => styled(style, 'dim', line)),
    ...(sentence === undefined ? [] : wrap(sentence, lineWidth(style)).map((line) => styled(style, 'plain', line))),
  ];
}

/** Each in a sentence, for where there is no room for a table. */
export const flowSentences = (finding: MendFinding): readonly string[] =>
  flowRows(finding, { ascii: false, ink: plainInks }).map(([exit, asked, before, after]) => `${exit.trim()}: asked ${asked.replace(/  +/, ', ')}; before ${before}${after === '' ? '' : `, after ${after}`}.`);

export const stepSentences = (finding: MendFinding): readonly string[] =>
  (repairOf(finding)?.steps ?? []).map((step, index) => `${index + 1}. ${stepWords(step)}: ${step.price}`);

const LOADED = {
  chests: 'Arms into wagons draw from chests only.',
  direct: 'Arms into wagons draw straight from carriers.',
  either: 'Arms into wagons draw from chests or straight from carriers.',
} as const;

const FED = {
  chests: 'Arms onto belts draw from chests only.',
  direct: 'Arms onto belts draw straight from the wagons.',
  either: 'Arms onto belts draw from chests or straight from the wagons.',
} as const;

export const IDEALISED = 'In an idealised tile world; see README, “Caution”.';

/** What was done, and what was searched. */
export function proofWords({ brief, outcome: { proof } }: MendFinding): readonly [work: string, searched: string] {
  const { branches, simulations, seconds, bound, space } = proof;
  const known = Number.isFinite(bound) ? [`lower bound ${bound}`] : [];
  const work = [...known, counted(branches, 'branch', 'branches'), counted(simulations, 'simulation'), secondsText(seconds)].join(', ');
  return [work, `Searched: ${space}. ${(brief.load === undefined ? FED : LOADED)[brief.feed]}`];
}

function proofLines(finding: MendFinding, style: Style): readonly string[] {
  const [work, searched] = proofWords(finding);
  return [
    styled(style, 'title', 'Proof'),
    ...wrap(work, proseWidth(style)).map((line) => styled(style, 'plain', line)),
    ...wrap(`${searched} ${IDEALISED}`, proseWidth(style)).map((line) => styled(style, 'dim', line)),
  ];
}

export function mendText(finding: MendFinding, style: Style, quiet = false): readonly string[] {
  const { outcome, layout } = finding;
  const verdict = verdictOf(finding, style);
  if (quiet) return verdict;
  const head = [...titleLines(layout.name, style), ...verdict, ''];
  const tail = [...flowLines(finding, style), '', ...proofLines(finding, style)];
  if (outcome.status !== 'optimal' && outcome.status !== 'feasible') return [...head, ...tail];
  const { steps, layout: mended } = outcome.mend;
  if (steps.length === 0) return [...head, ...drawLayout(layout, style, finding.lanesBefore), '', ...tail];
  return [...head, ...pictures(finding, mended, style), '', ...stepLines(steps, style), '', ...tail];
}
