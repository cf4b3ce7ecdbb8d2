/**
 * Writes a plan to a file: as a picture where its name ends so, else as JSON. Its catalog is named by the path by which the
 * plan that was read names it, as seen from there.
 */
import { writePicture, writePlan, type JsonObject, type Layout } from '../index.js';
import { InputError } from './exit-codes.js';
import { catalogPathFor, isPictureFile, writeWhole, type Document } from './files.js';
import { jsonDocument } from './output.js';

export function writePlanFile(file: string, layout: Layout, read: Document, result: JsonObject | undefined, ascii: boolean): void {
  const catalog = catalogPathFor(read, file);
  if (!isPictureFile(file)) {
    writeWhole(file, jsonDocument(writePlan(layout, result, catalog)));
    return;
  }
  const written = writePicture(layout, { result, catalog, ascii });
  if (!written.ok) throw new InputError([`transloom: The file ${file} is not written: ${written.reason}; write the plan as JSON.`]);
  writeWhole(file, written.text);
}
