/**
 * What each arm of a catalog can deliver onto each target, as a table and as JSON.
 */
import { compare, formatRational, type Rational } from '../base/rational.js';
import type { Catalog } from '../catalog/catalog.js';
import type { RateTarget } from '../synthesis/rates/rate-benches.js';
import { styled, type Style } from './canvas.js';
import { perSecondNumber, perSecondText, perTickText } from './numbers.js';
import { firstThatFits, proseWidth, tabulate, titleLines, wrap } from './table.js';
import { present, type JsonObject } from './trial-json.js';

export interface RateFinding {
  readonly arm: string;
  readonly target: RateTarget;
  /** Items per tick, by formula: no layout gives more. */
  readonly bound: Rational;
  /** Items per tick, simulated. */
  readonly simulated: Rational;
  /** Whether the simulation repeated, so that its flow is exact. */
  readonly exact: boolean;
}

function targetText(target: RateTarget): string {
  if (target.kind === 'chest') return 'into a chest';
  if (target.kind === 'underpass') return `${target.model}, against its entry`;
  return `${target.model}, ${target.bearing}`;
}

export function ratesText(catalog: Catalog, findings: readonly RateFinding[], style: Style): readonly string[] {
  const dim = (text: string): string => styled(style, 'dim', text);
  const rows = findings.map(({ arm, target, bound, simulated, exact }, index) => {
    const isFirst = index === 0 || findings[index - 1].arm !== arm;
    const order = compare(simulated, bound);
    const verdict = order === 0 ? styled(style, 'good', 'as the formula') : order < 0 ? 'below it' : styled(style, 'bad', 'above it');
    return [
      isFirst ? styled(style, 'arm', arm) : '',
      targetText(target),
      perSecondText(bound, catalog.ticksPerSecond),
      perTickText(bound),
      perSecondText(simulated, catalog.ticksPerSecond),
      perTickText(simulated),
      exact ? verdict : styled(style, 'warn', 'unproven'),
    ];
  });
  const head = ['arm', 'target', 'at most', 'per tick', 'simulated', 'per tick', ''].map(dim);
  const lines = firstThatFits(style.columns, [
    () => tabulate([head, ...rows], ['left', 'left', 'right', 'right', 'right', 'right', 'left']),
    () => tabulate([head, ...rows].map(([arm, target, most, , simulated, , verdict]) => [arm, target, most, simulated, verdict]), ['left', 'left', 'right', 'right', 'left']),
    () =>
      rows.flatMap(([arm, target, most, , simulated, , verdict]) => [
        ...(arm === '' ? [] : [arm]),
        ...wrap(`${target}: at most ${most}, simulated ${simulated}, ${verdict}`, proseWidth(style)),
      ]),
  ]);
  return [
    ...titleLines(catalog.name, style),
    ...lines,
    ...[
      'Each arm alone, from a chest that never runs dry, onto an empty target that leads on.',
      'At most: the formula that designs are bounded by. Simulated: the standard start.',
    ].flatMap((line) => wrap(line, proseWidth(style)).map(dim)),
  ];
}

export const ratesJson = (catalog: Catalog, findings: readonly RateFinding[]): JsonObject => ({
  catalog: catalog.name,
  rates: findings.map(({ arm, target, bound, simulated, exact }) =>
    present({
      arm,
      target: target.kind,
      model: target.kind === 'chest' ? undefined : target.model,
      bearing: target.kind === 'chest' ? undefined : target.bearing,
      bound: formatRational(bound),
      boundPerSecond: perSecondNumber(bound, catalog.ticksPerSecond),
      simulated: formatRational(simulated),
      perSecond: perSecondNumber(simulated, catalog.ticksPerSecond),
      exact,
    }),
  ),
});
