/**
 * `transloom draw`: the picture of a plan with the flow of its lanes, and its bill of materials; on demand
 * also as an SVG file and as a page.
 */
import { checkPlanForm, parsePlan, parsePromise, pictureDocument, pictureReport, pictureSvg, planPage, tryPlan } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog, writeWhole } from '../files.js';
import { deliver, outputStyle, warn } from '../output.js';

export function runDraw({ plan, svgFile, htmlFile, options }: CommandOf<'draw'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const answer = tryPlan(loaded.value, promise, { seed: options.seed });
  if (svgFile !== undefined) writeWhole(svgFile, pictureSvg(answer));
  if (htmlFile !== undefined) writeWhole(htmlFile, planPage(answer, loaded.document.value));
  deliver(
    options,
    () => pictureReport(answer, outputStyle(options), options.quiet),
    () => pictureDocument(answer, outputStyle({ ...options, json: true })),
  );
  return EXIT.done;
}
