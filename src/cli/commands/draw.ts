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
  writePicture,
  writePlan,
  type JsonObject,
  type Layout,
} from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { acceptMore, catalogPathFor, isPictureFile, loadWithCatalog, writeWhole, type Loaded } from '../files.js';
import { deliver, jsonDocument, outputStyle, warn } from '../output.js';

function promised({ document: { value } }: Loaded<Layout>): JsonObject | undefined {
  return typeof value === 'object' && value !== null && 'result' in value ? (value.result as JsonObject) : undefined;
}

function pictureText(loaded: Loaded<Layout>, file: string, ascii: boolean): string {
  const written = writePicture(loaded.value, { result: promised(loaded), catalog: catalogPathFor(loaded.document, file), ascii });
  if (!written.ok) throw new InputError([`transloom: The file ${file} is not written: ${written.reason}; write --plan-json.`]);
  return written.text;
}

export function runDraw({ plan, svgFile, htmlFile, textFile, planFile, options }: CommandOf<'draw'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const { out, json, ascii } = options;
  const isOutPicture = out !== undefined && !json && isPictureFile(out);
  for (const file of [textFile, isOutPicture ? out : undefined]) if (file !== undefined) writeWhole(file, pictureText(loaded, file, ascii));
  if (planFile !== undefined) writeWhole(planFile, jsonDocument(writePlan(loaded.value, promised(loaded), catalogPathFor(loaded.document, planFile))));
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
