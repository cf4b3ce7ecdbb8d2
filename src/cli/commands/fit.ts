/**
 * `transloom fit`: a catalog from what was counted and timed. `--out` takes the catalog, whatever is printed.
 */
import { fitDocument, fitMeasurements, fitReport } from '../../index.js';
import type { CommonOptions } from '../common-options.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { loadMeasurements } from '../documents.js';
import { writeWhole } from '../growing-file.js';
import { deliver, jsonDocument, notWritten, outputStyle } from '../output.js';

export function runFit(path: string, options: CommonOptions): ExitCode {
  const { measurements, fit, catalog } = fitMeasurements(loadMeasurements(path).value);
  if (options.out !== undefined && catalog !== undefined) writeWhole(options.out, jsonDocument(catalog.document));
  const printed = { ...options, out: undefined };
  deliver(
    printed,
    () => fitReport(measurements, fit, outputStyle(printed), options.quiet),
    () => fitDocument(measurements, fit, catalog?.document),
  );
  if (options.out !== undefined && catalog === undefined) notWritten(options, 'No catalog was found', options.out);
  switch (fit.kind) {
    case 'found':
      return EXIT.done;
    case 'none':
      return EXIT.no;
    case 'too-many':
      return EXIT.unproven;
  }
}
