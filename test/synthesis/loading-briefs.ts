/**
 * Briefs of stations that fill wagons, for tests that draw stations themselves.
 */
import type { Brief } from '../../src/brief/brief.js';
import type { LoadJob } from '../../src/brief/load-job.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import { loadJobOf, sound } from '../documents.js';

/** For the least cost, with the fields of `rest`. */
export function loadingBrief(rest: object, catalog: Catalog): { readonly brief: Brief; readonly load: LoadJob } {
  const brief = sound(parseBrief({ format: 'transloom-brief/1', name: 'loading', catalog: 'given', job: 'load', minimise: ['cost'], ...rest }, catalog));
  return { brief, load: loadJobOf(brief) };
}
