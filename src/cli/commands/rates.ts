/**
 * `transloom rates`: what each arm of a catalog, or of a brief's or plan's catalog, can deliver onto each target.
 */
import { armRates, ratesDocument, ratesReport } from '../../index.js';
import type { CommonOptions } from '../common-options.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { loadCatalogWithin } from '../documents.js';
import { deliver, outputStyle, warn } from '../output.js';

export function runRates(path: string, options: CommonOptions): ExitCode {
  const { value: catalog, warnings } = loadCatalogWithin(path);
  warn(options, warnings);
  const rates = armRates(catalog);
  deliver(
    options,
    () => ratesReport(catalog, rates, outputStyle(options)),
    () => ratesDocument(catalog, rates),
  );
  return rates.every((rate) => rate.exact) ? EXIT.done : EXIT.unproven;
}
