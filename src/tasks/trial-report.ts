/**
 * A trial as text and as JSON.
 */
import { trainFormula } from '../ranking/train-formula.js';
import { breachText } from '../report/breach-words.js';
import { styled, type Style } from '../report/canvas.js';
import { counted } from '../report/numbers.js';
import { trainLines, trainsJson } from '../report/train-text.js';
import { present, trialJson, type JsonObject } from '../report/trial-json.js';
import { trialText } from '../report/trial-text.js';
import { flowPicture } from './draw-plan.js';
import type { TrialAnswer } from './try-plan.js';

function promiseLines({ layout, breaches, trial }: TrialAnswer, style: Style): readonly string[] {
  if (breaches === undefined) return [];
  if (breaches.length === 0) {
    return [`${styled(style, 'good', 'Promise kept')}: every flow is as promised, or more, from ${counted(trial.starts, 'start')}.`];
  }
  return [
    `${styled(style, 'bad', 'Promise broken')}:`,
    ...breaches.map((breach) => styled(style, 'plain', `  ${breachText(breach, layout.catalog.ticksPerSecond)}`)),
  ];
}

export function trialReport(answer: TrialAnswer, style: Style, quiet = false): readonly string[] {
  const promise = promiseLines(answer, style);
  if (quiet) return promise;
  const { layout, trial, counts } = answer;
  const trains = trainFormula(layout, trial);
  return [
    styled(style, 'title', layout.name),
    ...flowPicture(answer, style),
    '',
    ...trialText({ layout, trial, ...(counts === undefined ? {} : { counts }) }, style),
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
