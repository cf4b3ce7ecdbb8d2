/**
 * What the replay of a proof log found, for a reader at a terminal and as JSON: the counts, a sentence for everything
 * that does not hold, and what was taken on trust.
 */
import type { Audit, AuditVerdict, Flaw, FlawKind, LogRefusal, Rechecked } from '../audit/audit-result.js';
import type { Shortfall } from '../audit/shortfall.js';
import { unreachable } from '../base/invariant.js';
import type { Finding } from '../base/finding.js';
import { styled, type Style } from './canvas.js';
import type { InkName } from './ink.js';
import { counted, perTickText, secondsText } from './numbers.js';
import { tileText } from './places.js';
import { fittingTable, proseWidth, titleLines, verdictLines, wrap } from './table.js';
import { present, type JsonObject } from './trial-json.js';
import { findingSentence, noLogSentence } from './words.js';


/** What no replay shows. */
const trustedOf = ({ loads, armBounds }: Pick<Audit, 'loads' | 'armBounds'>): readonly string[] =>
  loads ? [...TRUSTED_OF_LOADING, ...(armBounds ? [] : ['that arms carry no more than the bounds by which stations are passed over'])] : TRUSTED;

const TRUSTED_OF_LOADING: readonly string[] = [
  'that the search went through every station at the prices it says, and judged each',
  'that what is told of arms by their number and of the room beside wagons leaves out no station',
  'that stations with one signature have the same flows, and that a way of belts before the first arm brings the same items, later',
  'that the staggered starts are those drawn from the seed',
];

export const TRUSTED: readonly string[] = [
  'that the search went through every network of a bill at the prices it says, and judged each',
  'that networks with one signature have the same flows, that a last stretch which holds nothing up may stand for any other, and a station for its copies further east on a bare site',
  'that the program of the bill of parts leaves out no station',
  'that the staggered starts are those drawn from the seed',
];

function limitText({ limit, most, found }: Extract<FlawKind, { readonly kind: 'plan-limit' }>): string {
  if (found === 'none') return 'At the station some wagon is never emptied, or never filled, but the brief limits what trains take.';
  if (limit === 'dwell') return `At the station a train has to stand ${found} ticks; the brief allows ${most}.`;
  if (limit === 'trainsPerHour') return `The station empties or fills ${found} trains an hour; the brief asks for ${most}.`;
  return `The station has ${limit} of ${found}; the brief allows ${most}.`;
}

const priceText = (price: number | undefined): string => (price === undefined || price === Infinity ? 'none left' : String(price));

function shortfallText(shortfall: Shortfall): string {
  switch (shortfall.kind) {
    case 'exit': {
      const { exit, lane, found, asked } = shortfall;
      const lanes = lane === 'both' ? 'both lanes' : `the ${lane} lane`;
      return `exit ${exit} gives ${perTickText(found)} per tick on ${lanes}, but ${perTickText(asked)} is asked`;
    }
    case 'entry':
      return `${perTickText(shortfall.found)} per tick of entry ${shortfall.entry} are carried off, but ${perTickText(shortfall.asked)} is asked`;
    case 'wagon':
      return `wagon ${shortfall.wagon} gets ${perTickText(shortfall.found)} per tick, but ${perTickText(shortfall.asked)} is asked`;
    case 'wagons':
      return `all wagons together get ${perTickText(shortfall.found)} per tick, but ${perTickText(shortfall.asked)} is asked`;
    case 'overfull':
      return `the chest at ${tileText(shortfall.at)} is given ${perTickText(shortfall.inflow)} per tick, of which at most ${perTickText(shortfall.carryOff)} can be carried into wagons`;
    case 'sum':
      return `all exits together give ${perTickText(shortfall.found)} per tick, but ${perTickText(shortfall.asked)} is asked`;
    case 'chest': {
      const { at, outflow, supply } = shortfall;
      return `the chest at ${tileText(at)} is drained at ${perTickText(outflow)} per tick but filled at most at ${perTickText(supply)}`;
    }
  }
}

const firstSentence = (findings: readonly Finding[]): string => {
  const [first, ...rest] = findings.map(findingSentence);
  return rest.length === 0 ? first : `${first} (And ${counted(rest.length, 'more flaw')}.)`;
};

function flawText(flaw: FlawKind): string {
  switch (flaw.kind) {
    case 'not-json':
      return `This is not JSON (${flaw.reason}).`;
    case 'not-as-described':
      return firstSentence(flaw.findings);
    case 'seal-broken':
      return 'The seal does not fit: this line was changed, or a line before it was lost, added or moved.';
    case 'out-of-order':
      return `A line “${flaw.step}” cannot come after ${flaw.after === undefined ? 'nothing' : `“${flaw.after}”`}.`;
    case 'no-claim':
      return 'The log ends without a claim, so it is not whole.';
    case 'steps-missing':
      return `${counted(flaw.stated, 'line')} “${flaw.step}” should come before; there ${flaw.found === 1 ? 'is' : 'are'} ${flaw.found}.`;
    case 'bill-unknown':
      return 'The bill is none that this brief has room for, or was proposed before.';
    case 'bill-price':
      return `The bill's parts are said to cost ${flaw.stated}; they cost ${flaw.found}, and no more than the whole.`;
    case 'rest-falls':
      return `The bills that are left cost at least ${flaw.from}, so their least price cannot fall to ${flaw.to}.`;
    case 'family-unknown':
      return `No bill ${flaw.family} was proposed before.`;
    case 'family-price':
      return `Bill ${flaw.family} is said to stand at ${flaw.stated}; it stands at ${priceText(flaw.found)}.`;
    case 'family-falls':
      return `The price of bill ${flaw.family} falls from ${flaw.from} to ${flaw.to}.`;
    case 'found-dearer':
      return `A station of ${flaw.price} is no better than the one of ${flaw.before} found before.`;
    case 'bound-too-high':
      return `The bound ${flaw.bound} is above ${flaw.least}, the least price that was not ruled out.`;
    case 'not-exhausted':
      return `Stations may cost up to ${flaw.most}, and from ${flaw.least} on they were not ruled out.`;
    case 'claim-without-plan':
      return `The claim is “${flaw.status}”, but no station was found.`;
    case 'claim-with-plan':
      return `The claim is “${flaw.status}”, but a station was found.`;
    case 'bound-not-price':
      return `The claim does not fit the station found: its price is ${flaw.price}, the bound ${priceText(flaw.bound)}.`;
    case 'program-differs':
      return `The program's least price is said to be ${priceText(flaw.stated)}; the second solver finds ${priceText(flaw.found)}.`;
    case 'layout-unsound':
      return `The layout is not legal. ${firstSentence(flaw.findings)}`;
    case 'demand-unknown':
      return `Two exits or entries serve number ${flaw.demand} of the brief's, or the brief has none of that number.`;
    case 'not-short':
      return 'This was ruled out, but in the second simulator it does not fall short as it is said to.';
    case 'short':
      return `In the second simulator this falls short: ${shortfallText(flaw.shortfall)}.`;
    case 'plan-price':
      return `The station is said to cost ${flaw.stated}; its parts come to ${flaw.found}.`;
    case 'plan-exit':
      return `The station has no belt over the edge for exit ${flaw.demand} of the brief, or not there or not of the model that is asked.`;
    case 'plan-entry':
      return `The station has no belt that comes in for entry ${flaw.demand} of the brief, or not there or not of the model that is asked.`;
    case 'plan-limit':
      return limitText(flaw);
    case 'plan-feed':
      return `The arm at ${tileText(flaw.at)} draws from where the brief does not let it.`;
    case 'arm-bound':
      return `For the arm “${flaw.arm}” the log states ${flaw.stated} items per tick as the most, by which stations were passed over, but by the world rules it can carry ${flaw.most}.`;
    case 'start-unexpected':
      return 'This is no start that was to be tried here: the standard one holds no arm back, and each comes once, in order.';
    case 'delays-count':
      return `There are ${flaw.found} delays for ${counted(flaw.expected, 'arm')}.`;
    case 'starts-missing':
      return `The station has to pass ${counted(flaw.expected, 'start')}; the log has ${flaw.found}.`;
    default:
      return unreachable(flaw);
  }
}

export const flawSentence = (flaw: Flaw): string => `Line ${flaw.line}: ${flawText(flaw)}`;

/** Why a file is no log at all, or none that can be replayed; `format`: that which it seems to have. */
export function refusalSentences(refusal: LogRefusal, format?: string): readonly string[] {
  switch (refusal.kind) {
    case 'empty':
      return ['This is no proof log: it is empty; name a file that “transloom design --audit” wrote.'];
    case 'no-log':
      return [noLogSentence(refusal.reason, format)];
    case 'brief-unsound':
      return refusal.findings.map((finding) => `Line 1: ${findingSentence(finding)}`);
  }
}

const HEADLINE: Readonly<Record<AuditVerdict, readonly [string, InkName]>> = {
  holds: ['Holds', 'good'],
  broken: ['Does not hold', 'bad'],
  partly: ['Not all rechecked', 'warn'],
};

function verdictText({ verdict, flawCount }: Audit): string {
  switch (verdict) {
    case 'holds':
      return 'everything that can be rechecked was, by other means than those that made the claim.';
    case 'broken':
      return `${counted(flawCount, 'statement')} of the log ${flawCount === 1 ? 'is' : 'are'} wrong.`;
    case 'partly':
      return 'what was rechecked holds, the rest is not shown.';
  }
}

const ofAll = ({ rechecked, all, unfinished }: Rechecked): string =>
  `${rechecked} of ${all}${unfinished === 0 ? '' : ` (${unfinished} came to no end)`}`;

function claimText({ status, bound, price, objective }: Audit): string {
  const amount = (value: number): string => (objective === 'parts' ? counted(value, 'part') : `cost ${value}`);
  const words = [
    ...(status === undefined ? ['no claim'] : [status]),
    ...(price === undefined ? [] : [amount(price)]),
    ...(bound === undefined || bound === price ? [] : [`at least ${bound}`]),
  ];
  return words.join(', ');
}

const rows = (audit: Audit): readonly (readonly [string, string])[] => {
  const { lines, loads, programs, solver, families, leastOfFamilies, leastOfRest, ruledOut, passed, undecided, starts } = audit;
  const bills = `least price left: ${priceText(leastOfFamilies)} in ${counted(families, 'bill')}, ${priceText(leastOfRest)} in all others`;
  return [
    ['Log', `${counted(lines, 'line')} read`],
    ...(loads ? [] : [['Programs', `${ofAll(programs)} solved again, by ${solver}`] as const]),
    ['Bound', loads ? `least price left: ${priceText(leastOfFamilies)}` : bills],
    [loads ? 'Stations' : 'Networks', `ruled out: ${ofAll(ruledOut)} simulated again`],
    ['', `passed: ${ofAll(passed)} simulated again, from the standard start`],
    ...(undecided === 0 ? [] : [['', `never decided, perhaps cheaper: ${undecided}`] as const]),
    ['Plan', starts.all === 0 ? 'none' : `legal, counted again; starts: ${ofAll(starts)} simulated again`],
  ];
};

export function auditText(audit: Audit, style: Style, quiet = false): readonly string[] {
  const [headline, ink] = HEADLINE[audit.verdict];
  const width = proseWidth(style);
  const verdict = verdictLines(headline, ink, verdictText(audit), width, style);
  const flaws = [
    ...audit.flaws.flatMap((flaw) => wrap(flawSentence(flaw), width)),
    ...(audit.flawCount > audit.flaws.length ? [`  And ${audit.flawCount - audit.flaws.length} more.`] : []),
  ].map((line) => styled(style, 'plain', line));
  if (quiet) return [...verdict, ...flaws];
  return [
    ...titleLines(`${audit.name}: ${claimText(audit)}`, style),
    ...verdict,
    ...flaws,
    '',
    styled(style, 'title', 'Rechecked'),
    ...fittingTable(style, { rows: rows(audit), align: ['left', 'left'] }).map((line) => styled(style, 'plain', line)),
    ...wrap(secondsText(audit.seconds), width).map((line) => styled(style, 'plain', line)),
    '',
    styled(style, 'title', 'Taken on trust'),
    ...wrap(`${trustedOf(audit).join('; ')}.`, width).map((line) => styled(style, 'dim', line)),
  ];
}

const recheckedJson = ({ all, rechecked, unfinished }: Rechecked): JsonObject => ({ all, rechecked, unfinished });

export const auditJson = (audit: Audit): JsonObject => ({
  verdict: audit.verdict,
  claim: present({ status: audit.status, bound: audit.bound, price: audit.price, objective: audit.objective }),
  log: { lines: audit.lines, steps: present(audit.steps) },
  ...(audit.loads ? {} : { programs: { ...recheckedJson(audit.programs), solver: audit.solver } }),
  bound: present({ families: audit.families, leastOfFamilies: audit.leastOfFamilies, leastOfRest: audit.leastOfRest }),
  networks: { ruledOut: recheckedJson(audit.ruledOut), passed: recheckedJson(audit.passed), undecided: audit.undecided },
  plan: { starts: recheckedJson(audit.starts) },
  flaws: audit.flaws.map((flaw) => ({ line: flaw.line, kind: flaw.kind, sentence: flawSentence(flaw) })),
  flawCount: audit.flawCount,
  trusted: trustedOf(audit),
  seconds: Number(audit.seconds.toFixed(3)),
});
