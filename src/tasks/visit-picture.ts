/**
 * Joins a visit run with its pictures: runs it once more, to look at many moments of what is shown.
 */
import { visitPage as pageOf, visitSvg as svgOf } from '../report/page/visit-page.js';
import { runVisits } from '../simulation/run-visits.js';
import { chartTicks, type VisitAnswer } from './visit-station.js';

/** Moments of a picture, at most. */
const STEPS = 400;

function closely(answer: VisitAnswer): VisitAnswer {
  const { layout, terms, result } = answer;
  const sampleTicks = chartTicks(result, STEPS);
  const { samples } = runVisits(layout, terms, { ticks: sampleTicks[sampleTicks.length - 1] }, { sampleTicks });
  return { ...answer, result: { ...result, samples } };
}

/** A stand-alone SVG file. */
export const visitSvg = (answer: VisitAnswer): string => svgOf(closely(answer));

/** One page that needs no script and nothing else. */
export const visitPage = (answer: VisitAnswer): string => pageOf(closely(answer));
