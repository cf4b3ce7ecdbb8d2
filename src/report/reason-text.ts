/**
 * Why a brief is infeasible, in a sentence, and what would help: the words and the JSON of what
 * `synthesis/explain.ts` found out. Other verdicts are worded in `design-text.ts`.
 */
import { unreachable } from '../base/invariant.js';
import { compare, formatRational, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { LoadJob } from '../brief/load-job.js';
import type { Catalog } from '../catalog/catalog.js';
import type { Change, Conflict, CountLimit, InfeasibleReason, LimitName, Remedy } from '../synthesis/outcome.js';
import { exitLetter } from './labels.js';
import { counted, percent, perSecondText, perTickText } from './numbers.js';
import { EDGE_WORD } from './places.js';
import { USUAL_WIDTH, wrap } from './table.js';
import { timeText } from './train-text.js';
import type { JsonObject } from './trial-json.js';

/** "a cost of 43", "9 arms". */
function amountOf(limit: CountLimit, amount: number): string {
  if (limit === 'cost') return `a cost of ${amount}`;
  return counted(amount, limit === 'arms' ? 'arm' : 'part');
}

/** "32 trains", "15/2 trains". */
const perHourText = (trains: Rational): string => `${perTickText(trains)} ${compare(trains, ONE) === 0 ? 'train' : 'trains'}`;

/** "cost, arms and parts". */
export function listed(words: readonly string[]): string {
  const [last, ...before] = words.toReversed();
  return before.length === 0 ? last : `${before.toReversed().join(', ')} and ${last}`;
}

const LIMITS: Readonly<Record<LimitName, string>> = { arms: 'arms', parts: 'parts', cost: 'cost', imbalance: 'imbalance', dwell: 'dwell', trainsPerHour: 'trains an hour' };

export function reasonText(conflict: Conflict, ticksPerSecond: number): string {
  const rate = (flow: Rational): string => `${perSecondText(flow, ticksPerSecond)} (${perTickText(flow)} per tick)`;
  switch (conflict.kind) {
    case 'limit-too-low': {
      const { limit, allowed, needed } = conflict;
      return `The brief allows ${amountOf(limit, allowed)} at most, but any station that keeps to the rest of it needs at least ${needed}.`;
    }
    case 'too-uneven':
      return (
        `The brief allows an imbalance of ${formatRational(conflict.allowed)} at most, but every station that keeps to the` +
        ' rest of it drains, or fills, its chests less evenly.'
      );
    case 'dwell-too-short':
      return `The brief lets a train stand for ${timeText(conflict.allowed, ticksPerSecond)} at most, but at every station that keeps to the rest of it one has to stand longer.`;
    case 'too-few-trains':
      return `The brief asks for ${perHourText(conflict.asked)} an hour at least, but no station that keeps to the rest of it empties or fills so many.`;
    case 'limits-together':
      return `The brief's limits on ${listed(conflict.limits.map((limit) => LIMITS[limit]))} can't be kept together; raising one of them alone was not found to help.`;
    case 'arms-too-slow':
      return `All arms of this catalog that fit on the site put ${rate(conflict.most)} onto belts at most; the brief asks for ${rate(conflict.target)}.`;
    case 'supply-too-low':
      return `The arms that fit beside the wagons can fill chests at ${rate(conflict.most)} at most; the brief's belts drain ${rate(conflict.target)}.`;
    case 'spotting-too-far':
      return `The wagons may stop ${counted(conflict.spotting, 'tile')} short or far, and arms that work wherever they stop ${conflict.way === 'into' ? `bring ${rate(conflict.most)} into` : `take ${rate(conflict.most)} out of`} them at most; the brief asks for ${compare(conflict.most, conflict.target) === 0 ? 'more' : rate(conflict.target)}.`;
    case 'loading-too-slow': {
      const { most, target, by } = conflict;
      const had =
        by === 'arms'
          ? `The arms that fit beside the wagons carry ${rate(most)} into them at most`
          : `Straight from belts no more than ${rate(most)} gets into the wagons, which is what comes in while they stand there`;
      return `${had}; the brief asks for ${compare(most, target) === 0 ? 'more' : rate(target)}.`;
    }
    case 'target-too-high': {
      const { reached, tooMuch } = conflict;
      const not = compare(tooMuch, ONE) === 0 ? 'all of it' : `${formatRational(tooMuch)} of it`;
      return `The target is too high for what the brief allows: of all layouts of the searched space some bring ${formatRational(reached)} of it, and none ${not}.`;
    }
    case 'site-too-small':
      return 'The site is too small: of the layouts of the searched space none fits on it that brings even a small share of the target.';
    case 'space-exhausted':
      return 'Every layout of the searched space was ruled out, by bound or by simulation.';
    default:
      return unreachable(conflict);
  }
}

/** What to do, without a full stop: "add 1 row (depth 9)". */
function changeText(change: Change, brief: Brief): string {
  switch (change.kind) {
    case 'limit':
      return `allow ${amountOf(change.limit, change.to)}`;
    case 'imbalance':
      return `allow an imbalance of ${compare(change.to, ZERO) === 0 ? '0' : `${formatRational(change.to)} (${percent(change.to)})`}`;
    case 'dwell':
      // Whole ticks are what a brief can say, and a longer time is no obstacle.
      return `let a train stand for ${timeText(change.to.ceil(), brief.catalog.ticksPerSecond)}`;
    case 'trainsPerHour':
      return `ask for ${perHourText(change.to)} an hour`;
    case 'target':
      return `lower the target to ${formatRational(change.share)} of it${totalText(change.share, brief)}`;
    case 'site': {
      const more = change.to - (brief.site[change.side] ?? 0);
      const rows = brief.site.north === undefined ? '' : ` in the ${change.side === 'north' ? 'north' : 'south'}`;
      const what = change.side === 'width' ? `${counted(more, 'column')} at the east` : `${counted(more, 'row')}${rows}`;
      return `add ${what} (${change.side} ${change.to})`;
    }
    case 'exit-range': {
      const { edge } = brief.exits[change.exit];
      return `let belt ${exitLetter(change.exit)} leave over the ${EDGE_WORD[edge]} edge anywhere from ${change.from} to ${change.to}`;
    }
    case 'entry-range': {
      const edge = brief.load?.entries[change.entry].edge ?? 'S';
      return `let belt ${change.entry + 1} come in over the ${EDGE_WORD[edge]} edge anywhere from ${change.from} to ${change.to}`;
    }
    case 'keep-out': {
      const { x, y, width, height } = change.box;
      return `free the kept-out ${width} x ${height} tiles at [${x}, ${y}]`;
    }
    case 'presence':
      return `let wagons stand there for ${formatRational(change.to)} of the time`;
    case 'wagon-length':
      return `make the wagon at x = ${brief.wagons[change.wagon].at} ${change.to} tiles long`;
    case 'feed':
      if (change.to !== 'either') return `set feed to "${change.to}"`;
      return brief.load === undefined
        ? 'let arms feed belts from chests or straight from wagons (feed "either")'
        : 'let arms fill wagons from chests or straight from belts (feed "either")';
    case 'spotting':
      return change.to === 0 ? 'make wagons stop just at their place' : `make wagons stop within ${counted(change.to, 'tile')} of their place`;
  }
}

/** What the lowered target comes to, where there is but one: of the one belt, or of all of them together. */
function totalText(share: Rational, { exits, together, catalog, load }: Brief): string {
  if (load !== undefined) return totalOfLoad(share, load, catalog);
  const own = exits.map(({ target }) => target.total).filter((total) => compare(total, ZERO) > 0);
  const targets = together === undefined ? own : [together, ...own];
  if (targets.length !== 1) return '';
  const total = targets[0].mul(share);
  const fill = total.div(sumRational(exits.map(({ belt }) => ratio(2 * belt.speed, catalog.pitch))));
  return ` (fill ${formatRational(fill)}, ${perSecondText(total, catalog.ticksPerSecond)})`;
}

/** Where wagons are filled: the time, the flow of the one belt, or that of all of them together. */
function totalOfLoad(share: Rational, { entries, together, fullTicks }: LoadJob, { pitch, ticksPerSecond }: Catalog): string {
  const own = entries.map(({ target }) => target).filter((target) => compare(target, ZERO) > 0);
  const targets = together === undefined ? own : [together, ...own];
  if (fullTicks !== undefined) return targets.length > 0 ? '' : ` (full in ${timeText(fullTicks.div(share).ceil(), ticksPerSecond)})`;
  if (targets.length !== 1) return '';
  const total = targets[0].mul(share);
  const fill = total.div(sumRational(entries.map(({ belt }) => ratio(2 * belt.speed, pitch))));
  return ` (fill ${formatRational(fill)}, ${perSecondText(total, ticksPerSecond)})`;
}

/** "allow a cost of 43", with what is known of it; no full stop. */
export function remedyText({ changes, least, cost }: Remedy, brief: Brief): string {
  const found = `a station of cost ${cost} is found`;
  return `${listed(changes.map((change) => changeText(change, brief)))}: ${found}${least ? '' : '; a smaller change may do'}`;
}

/** What would help, or that nothing was found, line by line; nothing if nobody looked. */
export function remedyLines({ nearest, looked }: InfeasibleReason, brief: Brief, width = USUAL_WIDTH): readonly string[] {
  if (looked === 'not') return [];
  if (nearest.length === 0) {
    return [looked === 'wholly' ? 'None of the nearby changes that were tried helps.' : 'No nearby change was found within the time.'];
  }
  return [
    'Any one of these changes helps, each tried with a design run of its own:',
    ...nearest.flatMap((remedy) => wrap(remedyText(remedy, brief), width, 4).map((line, index) => (index === 0 ? `  - ${line.slice(4)}` : line))),
    ...(looked === 'wholly' ? [] : ['The time was up before all nearby changes were settled.']),
  ];
}

function changeJson(change: Change): JsonObject {
  switch (change.kind) {
    case 'imbalance':
    case 'dwell':
    case 'trainsPerHour':
    case 'presence':
      return { kind: change.kind, to: formatRational(change.to) };
    case 'target':
      return { kind: change.kind, share: formatRational(change.share) };
    case 'keep-out': {
      const { x, y, width, height } = change.box;
      return { kind: change.kind, free: [x, y, width, height] };
    }
    default:
      return { ...change };
  }
}

export const remedyJson = (remedy: Remedy, brief: Brief): JsonObject => ({
  changes: remedy.changes.map(changeJson),
  sentence: `${remedyText(remedy, brief).replace(/^./, (first) => first.toUpperCase())}.`,
  least: remedy.least,
  cost: remedy.cost,
});
