/**
 * `transloom draw`: the picture of a plan with the flow of its lanes, and its bill of materials.
 */
import { checkPlanForm, parsePlan, parsePromise, pictureDocument, pictureReport, tryPlan } from '../../index.js';
import type { CommonOptions } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../files.js';
import { deliver, outputStyle, warn } from '../output.js';

export function runDraw(plan: string, options: CommonOptions): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const answer = tryPlan(loaded.value, promise, { seed: options.seed });
  deliver(
    options,
    () => pictureReport(answer, outputStyle(options), options.quiet),
    () => pictureDocument(answer, outputStyle({ ...options, json: true })),
  );
  return EXIT.done;
}
