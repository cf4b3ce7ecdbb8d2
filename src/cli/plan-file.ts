/**
 * Writes a plan to a file: as a picture where its name ends so, else as JSON. Every `--out`, `--best` and `--plan-json` that takes a
 * plan goes this way.
 */
import { parseCatalog, parsePlan, writePicture, writePlan, type JsonObject, type Layout } from '../index.js';
import { InputError } from './exit-codes.js';
import { catalogPathFor, type Document } from './documents.js';
import { isPictureFile } from './files.js';
import { writeWhole } from './growing-file.js';
import { jsonDocument } from './output.js';

function pictureText(file: string, layout: Layout, result: JsonObject | undefined, catalog: string | undefined, ascii: boolean): string {
  const written = writePicture(layout, { result, catalog, ascii });
  if (!written.ok) throw new InputError([`transloom: The file ${file} is not written: ${written.reason}; write the plan as JSON.`]);
  return written.text;
}

/** `read`: the plan from which it comes, whose catalog is named by its path as seen from the new file. */
export function writePlanFile(file: string, layout: Layout, read: Document, result: JsonObject | undefined, ascii: boolean): void {
  const catalog = catalogPathFor(read, file);
  writeWhole(file, isPictureFile(file) ? pictureText(file, layout, result, catalog, ascii) : jsonDocument(writePlan(layout, result, catalog)));
}

/** A plan that this program made, with its catalog inside. */
interface Made {
  readonly layout: Layout;
  readonly result: JsonObject | undefined;
}

function readMade(plan: JsonObject): Made {
  const catalog = parseCatalog(plan['catalog']);
  const layout = catalog.ok ? parsePlan(plan, catalog.value) : catalog;
  if (!layout.ok) throw new Error('a plan that was made is not sound');
  return { layout: layout.value, result: plan['result'] as JsonObject | undefined };
}

/** Such a plan beside the one that was read, whose catalog it names as `writePlanFile` does. */
export function writeMadePlan(file: string, plan: JsonObject, read: Document, ascii: boolean): void {
  const { layout, result } = readMade(plan);
  writePlanFile(file, layout, read, result, ascii);
}

/** What that file is to hold of such a plan. */
export function planFileText(file: string, plan: JsonObject, ascii: boolean): string {
  if (!isPictureFile(file)) return jsonDocument(plan);
  const { layout, result } = readMade(plan);
  return pictureText(file, layout, result, undefined, ascii);
}
