/**
 * `transloom draw`: the picture of a plan and its bill of materials.
 */
import { checkPlanForm, parsePlan, pictureDocument, pictureReport } from '../../index.js';
import type { CommonOptions } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { loadWithCatalog } from '../files.js';
import { deliver, outputStyle, warn } from '../output.js';

export function runDraw(plan: string, options: CommonOptions): ExitCode {
  const { value: layout, warnings } = loadWithCatalog(plan, parsePlan, checkPlanForm);
  warn(options, warnings);
  deliver(
    options,
    () => pictureReport(layout, outputStyle(options), options.quiet),
    () => pictureDocument(layout, outputStyle({ ...options, json: true })),
  );
  return EXIT.done;
}
