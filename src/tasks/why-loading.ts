/**
 * Joins what tells why a station fills wagons more slowly than its belts could bring: what waits outside each entry, the
 * arms that would have to take it, and a trial of every single change. Where items leave over exits, `why-station.ts`.
 */
import type { EntryWhy, LoadingWhy } from '../audit/cause.js';
import { bestChanges, tryChange } from './best-changes.js';
import { compare, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { sameTile } from '../base/geometry.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import { deriveNetwork, loadsWagons } from '../layout/network.js';
import { compileLayout } from '../simulation/compile.js';
import { runTrial } from '../simulation/trial.js';
import type { TrialResult } from '../simulation/trial-result.js';
import { failingChests, type WhyRequest } from './why-station.js';

const intoWagons = ({ wagons = [] }: TrialResult): Rational => sumRational(wagons.map(({ inflow }) => inflow));

/** What each entry offers and lets in, and the arms that pick from belts that have to do with its own. */
function entriesWhy(layout: Layout, trial: TrialResult): readonly EntryWhy[] {
  const { pieces, network } = compileLayout(layout);
  return entriesOf(layout).map(({ at, heading, give }, entry): EntryWhy => {
    const { flow } = trial.entries?.[entry] ?? { flow: ZERO };
    const piece = pieces.find(({ entries }) => entries.includes(entry));
    const carrier = network.carriers.find(({ tail }) => sameTile(tail, at));
    const most = carrier === undefined ? ZERO : ratio(2 * carrier.speed, layout.catalog.pitch);
    const offered = give !== undefined && compare(give, most) < 0 ? give : most;
    const arms = (piece?.arms ?? []).flatMap((arm) => {
      const { part, pick } = network.arms[arm];
      const placed = layout.parts[part];
      const found = placed.kind === 'arm' && pick.kind === 'carrier' ? trial.arms.find((each) => sameTile(each.at, placed.at)) : undefined;
      return found === undefined ? [] : [{ at: found.at, flow: found.flow, share: found.share }];
    });
    return { at, heading, flow, offered, missing: compare(offered, flow) > 0 ? offered.sub(flow) : ZERO, arms };
  });
}

export function whyLoading(layout: Layout, request: Omit<WhyRequest, 'target' | 'mostTicks'>): LoadingWhy {
  const { starts, seed, tickLimit, presence = ONE, shouldStop } = request;
  const trial = runTrial(layout, { starts, seed, tickLimit, presence, shouldStop });
  const together = intoWagons(trial);
  const failing = trial.chests.filter(({ keepsUp }) => !keepsUp);
  // What chests can't sustain, or what is taken out of a wagon first, brings nothing in the long run.
  const leastFlow = (changed: Layout, count: number) => {
    const found = tryChange(changed, count, request);
    const lasts = loadsWagons(deriveNetwork(changed)) && found.chests.every(({ at, keepsUp }) => keepsUp || failing.some((each) => sameTile(each.at, at)));
    return { flow: lasts ? intoWagons(found) : ZERO, exact: found.exact };
  };
  const best = request.changes ? bestChanges(layout, together, request, leastFlow) : { changes: [], tried: 0, untried: 0 };
  const { worstStart, exact, periodTicks } = trial;
  return { layout, worstStart, starts: trial.starts, exact, ticks: periodTicks, together, entries: entriesWhy(layout, trial), ...failingChests(trial, presence), ...best };
}

export { loadingWhyJson as whyLoadingDocument, loadingWhyText as whyLoadingReport } from '../report/why-loading-text.js';
