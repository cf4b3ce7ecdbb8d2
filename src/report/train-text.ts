/**
 * What a plan's steady flow means for trains, as lines and as JSON: by formula, said so.
 */
import { formatRational, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import type { Drain, TrainFormula } from '../ranking/train-formula.js';
import { styled, type Style } from './canvas.js';
import { counted, secondsText, tenths } from './numbers.js';
import { tileText } from './places.js';
import { proseWidth, wrap } from './table.js';
import type { JsonObject } from './trial-json.js';

/** "5625 ticks (112.5 s)", to a tenth of a tick. */
export function timeText(ticks: Rational, ticksPerSecond: number): string {
  const text = tenths(ticks);
  return `${text} ${text === '1' ? 'tick' : 'ticks'} (${secondsText(ticks.valueOf() / ticksPerSecond)})`;
}

export const drainText = ({ kind, at }: Drain): string => `${kind === 'chest' ? 'the chest' : 'the arm'} at ${tileText(at)}`;

export function trainLines({ catalog: { ticksPerSecond }, wagons }: Layout, formula: TrainFormula, style: Style): readonly string[] {
  const { load, headwayTicks, dwellTicks, trainsPerHour, slowest } = formula;
  const time = (ticks: Rational): string => timeText(ticks, ticksPerSecond);
  // While others are still filled, belts bring them what a wagon that is full leaves; which arms get it no formula tells.
  const filled = wagons.length === 1 ? `at most ${tenths(trainsPerHour)} trains an hour` : `${tenths(trainsPerHour)} trains an hour, or more if others get what a wagon that is full leaves`;
  const sentences =
    slowest === undefined
      ? `At this flow an empty train is full, with ${counted(load, 'item')}, after ${time(headwayTicks)}: ${filled}. ` +
        `Where chests have filled while none stood there, one has to stand for ${time(dwellTicks)}, to within a cycle of an arm.`
      : `At this flow a full train of ${counted(load, 'item')} is carried off in ${time(headwayTicks)}: at most ${tenths(trainsPerHour)} trains an hour. ` +
        `It has to stand for ${time(dwellTicks)}, to within a cycle of an arm: ${
          slowest.kind === 'chest' ? `${drainText(slowest)} decides that` : `${drainText(slowest)} loads a belt straight from it, so it is there all that time`
        }.`;
  return ['', styled(style, 'title', 'Trains, by formula'), ...wrap(`${sentences} “transloom visit” runs it with real counts.`, proseWidth(style)).map((line) => styled(style, 'plain', line))];
}

export const trainsJson = ({ load, headwayTicks, dwellTicks, trainsPerHour, slowest }: TrainFormula): JsonObject => ({
  load,
  headway: formatRational(headwayTicks),
  dwell: formatRational(dwellTicks),
  trainsPerHour: Number(trainsPerHour.valueOf().toPrecision(9)),
  ...(slowest === undefined ? {} : { slowest: { [slowest.kind]: [slowest.at.x, slowest.at.y] } }),
});
