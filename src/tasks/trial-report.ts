/**
 * A trial as text and as JSON.
 */
import { trainFormula } from '../ranking/train-formula.js';
import { breachText } from '../report/breach-words.js';
import { styled, type Style } from '../report/canvas.js';
import { counted } from '../report/numbers.js';
import { lineWidth, proseWidth, titleLines, verdictLines, wrap } from '../report/table.js';
import { trainLines, trainsJson } from '../report/train-text.js';
import { present, trialJson, type JsonObject } from '../report/trial-json.js';
import { trialText } from '../report/trial-text.js';
import { flowPicture } from './draw-plan.js';
import type { TrialAnswer } from './try-plan.js';

function promiseLines({ layout, breaches, trial }: TrialAnswer, style: Style): readonly string[] {
  if (breaches === undefined) return [];
  if (breaches.length === 0) {
    return verdictLines('Promise kept', 'good', `every flow is as promised, or more, from ${counted(trial.starts, 'start')}.`, proseWidth(style), style);
  }
  return [
    `${styled(style, 'bad', 'Promise broken')}:`,
    ...breaches.flatMap((breach) => wrap(breachText(breach, layout.catalog.ticksPerSecond), lineWidth(style))).map((line) => styled(style, 'plain', line)),
  ];
}

export function trialReport(answer: TrialAnswer, style: Style, quiet = false): readonly string[] {
  const promise = promiseLines(answer, style);
  if (quiet) return promise;
  const { layout, trial, presence, counts } = answer;
  const trains = trainFormula(layout, trial);
  return [
    ...titleLines(layout.name, style),
    ...flowPicture(answer, style),
    '',
    ...trialText({ layout, trial, presence, ...(counts === undefined ? {} : { counts }) }, style),
    ...(trains === undefined ? [] : trainLines(layout, trains, style)),
    ...(promise.length === 0 ? [] : ['', ...promise]),
  ];
}

export function trialDocument({ layout, trial, counts, breaches }: TrialAnswer): JsonObject {
  const { ticksPerSecond } = layout.catalog;
  const trains = trainFormula(layout, trial);
  return present({
    ...trialJson(trial, ticksPerSecond, counts?.counts),
    trains: trains && trainsJson(trains),
    promise: breaches && {
      kept: breaches.length === 0,
      breaches: breaches.map((breach) => breachText(breach, ticksPerSecond)),
    },
  });
}
