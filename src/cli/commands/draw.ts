/**
 * `transloom draw`: the picture of a plan with the flow of its lanes, and its bill of materials; on demand
 * also as an SVG file, as a page, as a picture that can be read again, and as JSON.
 */
import {
  checkPlanForm,
  parsePlan,
  parsePromise,
  pictureDocument,
  pictureReport,
  pictureSvg,
  planPage,
  tryPlan,
  type JsonObject,
  type Layout,
} from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog, type Loaded } from '../documents.js';
import { isPictureFile } from '../files.js';
import { writeWhole } from '../growing-file.js';
import { deliver, outputStyle, warn } from '../output.js';
import { writePlanFile } from '../plan-file.js';

function promised({ document: { value } }: Loaded<Layout>): JsonObject | undefined {
  return typeof value === 'object' && value !== null && 'result' in value ? (value.result as JsonObject) : undefined;
}

export function runDraw({ plan, svgFile, htmlFile, textFile, planFile, options }: CommandOf<'draw'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const { out, json, ascii } = options;
  const isOutPicture = out !== undefined && !json && isPictureFile(out);
  for (const file of [textFile, planFile, isOutPicture ? out : undefined]) {
    if (file !== undefined) writePlanFile(file, loaded.value, loaded.document, promised(loaded), ascii);
  }
  const answer = tryPlan(loaded.value, promise, { seed: options.seed });
  if (svgFile !== undefined) writeWhole(svgFile, pictureSvg(answer));
  if (htmlFile !== undefined) writeWhole(htmlFile, planPage(answer, loaded.document.value));
  if (isOutPicture) return EXIT.done;
  deliver(
    options,
    () => pictureReport(answer, outputStyle(options), options.quiet),
    () => pictureDocument(answer, outputStyle({ ...options, json: true })),
  );
  return EXIT.done;
}
