/**
 * `transloom visit`: trains come to a plan's station, are emptied and leave, with real counts.
 */
import { checkPlanForm, parsePlan, visitDocument, visitPage, visitReport, visitStation, visitSvg } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { loadWithCatalog } from '../documents.js';
import { writeWhole } from '../growing-file.js';
import { deliver, outputStyle, warn } from '../output.js';
import { visitRequest } from '../visit-options.js';

export function runVisit({ plan, choice, options }: CommandOf<'visit'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const request = { ...visitRequest(choice, loaded.value), seed: options.seed };
  warn(options, loaded.warnings);
  const answer = visitStation(loaded.value, request);
  if (choice.svgFile !== undefined) writeWhole(choice.svgFile, visitSvg(answer));
  if (choice.htmlFile !== undefined) writeWhole(choice.htmlFile, visitPage(answer));
  deliver(
    options,
    () => visitReport(answer, outputStyle(options), options.quiet),
    () => visitDocument(answer),
  );
  if (answer.result.stuckSince !== undefined) return EXIT.no;
  return answer.result.ending === 'open' ? EXIT.unproven : EXIT.done;
}
