/**
 * Searches that were stopped, as documents to go on from.
 */
import { createRequire } from 'node:module';
import { checkPlan, priceOf } from '../audit/check-plan.js';
import type { Checked } from '../base/finding.js';
import type { Brief } from '../brief/brief.js';
import type { JsonObject } from '../report/trial-json.js';
import { TICK_LIMIT, USUAL_SEED } from '../simulation/starts.js';
import { parseSearch, writeSearch, type RunState, type SearchSettings } from '../synthesis/search-state.js';
import type { Verify } from '../synthesis/verifier.js';
import { loadingVerifier } from './loading-verifier.js';
import { SOLVER_NAMES, type SearchTerms } from './search-tools.js';
import { verifierOf } from './verifier.js';

/** What a search of this request rests on. */
const searchSettings = (brief: Brief, { solver, seed }: Pick<SearchTerms, 'solver' | 'seed'>): SearchSettings => ({
  version: (createRequire(import.meta.url)('../../package.json') as { readonly version: string }).version,
  solver: brief.load === undefined ? (solver ?? SOLVER_NAMES[0]) : 'none',
  seed: seed ?? USUAL_SEED,
});

/** A saved search to go on from, or all that speaks against it. The best station in it is tried again. */
export function readSearch(json: unknown, brief: Brief, request: Pick<SearchTerms, 'solver' | 'seed'>): Checked<RunState> {
  const settings = searchSettings(brief, request);
  const starts = { starts: brief.starts, seed: settings.seed, tickLimit: TICK_LIMIT };
  const simulate: Verify = brief.load === undefined ? verifierOf(starts) : loadingVerifier(starts);
  const verify: Verify = (layout, asked) => {
    const demands = [...(asked.load?.entries ?? asked.exits).keys()];
    const flaws = checkPlan({ layout, demands }, asked, priceOf(layout, 'cost'), 'cost');
    return flaws.length > 0 ? { verdict: 'fails' } : simulate(layout, asked);
  };
  return parseSearch(json, brief, settings, verify);
}

export const savedSearch = (state: RunState, brief: Brief, request: Pick<SearchTerms, 'solver' | 'seed'>): JsonObject =>
  writeSearch(state, brief, searchSettings(brief, request)) as JsonObject;
