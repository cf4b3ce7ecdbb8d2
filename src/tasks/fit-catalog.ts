/**
 * Joins the rooms for `fit`: measurements to integers, and integers to a checked catalog.
 */
import { invariant } from '../base/invariant.js';
import type { Catalog } from '../catalog/catalog.js';
import { parseCatalog } from '../catalog/parse-catalog.js';
import { fit, type Fit } from '../fitting/fit.js';
import type { Measurements } from '../fitting/measurements.js';
import { fittedCatalog } from '../fitting/write-fit.js';

export { parseMeasurements } from '../fitting/parse-measurements.js';
export { fitJson as fitDocument, fitText as fitReport } from '../report/fit-text.js';

export interface FitAnswer {
  readonly measurements: Measurements;
  readonly fit: Fit;
  /** The catalog's document, and what the parser makes of it; undefined where nothing was found. */
  readonly catalog: { readonly document: Readonly<Record<string, unknown>>; readonly value: Catalog } | undefined;
}

export function fitMeasurements(measurements: Measurements): FitAnswer {
  const found = fit(measurements);
  if (found.kind !== 'found') return { measurements, fit: found, catalog: undefined };
  const document = fittedCatalog(measurements, found.best);
  const parsed = parseCatalog(document);
  invariant(parsed.ok, 'a fitted catalog is sound', { findings: parsed.ok ? [] : parsed.findings });
  return { measurements, fit: found, catalog: { document, value: parsed.value } };
}
