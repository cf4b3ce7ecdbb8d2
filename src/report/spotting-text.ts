/**
 * What a plan gives wherever its wagons may stop, place by place, as a table and as JSON.
 */
import { compare, formatRational, type Rational } from '../base/rational.js';
import type { Tile } from '../base/geometry.js';
import type { Layout } from '../layout/layout.js';
import type { Breach } from '../ranking/promise.js';
import type { TrialResult } from '../simulation/trial-result.js';
import { breachText } from './breach-words.js';
import { styled, type Style } from './canvas.js';
import { exitLetter } from './labels.js';
import { counted, perSecondNumber, perSecondText, percent } from './numbers.js';
import { tileText } from './places.js';
import { fittingTable, lineWidth, wrap } from './table.js';
import { position, present, type Json, type JsonObject } from './trial-json.js';

/** A plan with its wagons so many tiles further along x (below 0: short of where it says). */
export interface SpottingPlace {
  readonly offset: number;
  readonly trial: TrialResult;
  /** Arms that pick from a wagon where the plan says, and from nothing here. */
  readonly missing: readonly Tile[];
  /** Undefined where the plan promises nothing. */
  readonly breaches: readonly Breach[] | undefined;
}

export interface SpottingFinding {
  readonly layout: Layout;
  /** From the shortest to the farthest. */
  readonly places: readonly SpottingPlace[];
  /** Index of the worst place. */
  readonly worst: number;
}

export function offsetText(offset: number): string {
  if (offset === 0) return 'as planned';
  return `${counted(Math.abs(offset), 'tile')} ${offset < 0 ? 'short' : 'far'}`;
}

const tilesText = (tiles: readonly Tile[]): string => tiles.map(tileText).join(' ');

function verdictText({ trial, breaches }: SpottingPlace, style: Style): string {
  const failing = trial.chests.filter((chest) => !chest.keepsUp);
  if (failing.some(({ loads }) => loads !== undefined)) return styled(style, 'bad', `✗ ${tilesText(failing.map(({ at }) => at))} can't keep up`);
  if (failing.length > 0) return styled(style, 'bad', `✗ ${tilesText(failing.map(({ at }) => at))} ${failing.length === 1 ? 'runs' : 'run'} dry`);
  if (breaches !== undefined && breaches.length > 0) return styled(style, 'bad', '✗ less than promised');
  if (breaches === undefined && trial.chests.length === 0) return '';
  return styled(style, 'good', breaches === undefined ? '✓ chests keep up' : '✓ as promised');
}

const flowsOf = ({ exits, wagons = [] }: TrialResult): readonly Rational[] => [...exits.map(({ flow }) => flow), ...wagons.map(({ inflow }) => inflow)];

function givesTheSame(a: TrialResult, b: TrialResult): boolean {
  const others = flowsOf(b);
  return flowsOf(a).every((flow, index) => compare(flow, others[index]) === 0) && a.chests.every(({ keepsUp }, chest) => keepsUp === b.chests[chest].keepsUp);
}

export function spottingText({ layout, places, worst }: SpottingFinding, style: Style): readonly string[] {
  const { ticksPerSecond } = layout.catalog;
  const dim = (text: string): string => styled(style, 'dim', text);
  const areAlike = places.every(({ trial }) => givesTheSame(trial, places[worst].trial));
  const rows = places.map((place, index) => [
    offsetText(place.offset),
    ...place.trial.exits.map(({ flow, fill }) => `${perSecondText(flow, ticksPerSecond)}  ${percent(fill)}`),
    ...(place.trial.wagons ?? []).map(({ inflow }) => perSecondText(inflow, ticksPerSecond)),
    place.missing.length === 0 ? dim('none') : styled(style, 'warn', tilesText(place.missing)),
    verdictText(place, style),
    index === worst && !areAlike ? styled(style, 'warn', 'worst') : '',
  ]);
  const flows = [...layout.exits.map((_, exit) => `exit ${exitLetter(exit)}`), ...(places[worst].trial.wagons ?? []).map((_, wagon) => `into wagon ${wagon + 1}`)];
  const heads = ['wagons stop', ...flows, 'arms that miss them', '', ''].map(dim);
  const breaches = [...new Set(places.flatMap(({ offset, breaches: found }) => (found ?? []).map((breach) => `${offsetText(offset)}: ${breachText(breach, ticksPerSecond)}`)))];
  const hasChests = places[worst].trial.chests.length > 0;
  const note = `Short is toward x = 0.${hasChests ? ' Flows are those of a steady run, in which chests hold as much as is drawn from them; where one runs dry, they can not last.' : ''}`;
  return [
    styled(style, 'title', 'Where wagons stop'),
    ...fittingTable(style, { heads, rows, align: ['left', ...flows.map(() => 'right' as const), 'left', 'left', 'left'], told: ['', ...heads.slice(1)] }),
    ...wrap(dim(note), lineWidth(style)),
    ...breaches.flatMap((sentence) => wrap(sentence, lineWidth(style))),
  ];
}

export function spottingJson({ layout, places, worst }: SpottingFinding): Json {
  const { ticksPerSecond } = layout.catalog;
  const flow = (value: Rational): JsonObject => ({ flow: formatRational(value), perSecond: perSecondNumber(value, ticksPerSecond) });
  return places.map(({ offset, trial, missing, breaches }, index) =>
    present({
      offset,
      exact: trial.exact,
      exits: trial.exits.map((exit) => ({ at: position(exit.at), heading: exit.heading, ...flow(exit.flow), fill: formatRational(exit.fill) })),
      wagons: trial.wagons?.map(({ inflow }, wagon) => ({ at: layout.wagons[wagon].at, inflow: formatRational(inflow), perSecond: perSecondNumber(inflow, ticksPerSecond) })),
      missing: missing.map(position),
      dry: trial.chests.filter(({ keepsUp }) => !keepsUp).map(({ at }) => position(at)),
      kept: breaches && breaches.length === 0,
      worst: index === worst,
    }),
  );
}
