/** Of loading stations the one that a brief prefers: what a design keeps of what its search finds, and what is worth a simulation. */
import { ratio, ZERO } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import { countedMeasures, isCounted } from '../../layout/measure.js';
import type { Layout } from '../../layout/layout.js';
import type { BestSoFar } from '../families/best-so-far.js';
import { isPreferred, rank, type Standing } from '../families/preference.js';
import type { Passing } from '../verifier.js';
import type { LoadingKeep } from './loading-search.js';

/** Flows of a layout of which only what can be counted is compared. */
const UNKNOWN: Passing = { verdict: 'passes', chestOutflows: [], fill: ZERO, trains: undefined };

/** Whether a station may be preferred to the best, by what can be counted on it. */
function mayBeBetter(layout: Layout, best: Standing | undefined, objectives: Brief['minimise']): boolean {
  if (best === undefined) return true;
  const counts = countedMeasures(layout);
  for (const [at, objective] of objectives.entries()) {
    if (!isCounted(objective)) return true;
    const order = ratio(counts[objective]).compare(best.values[at]);
    if (order !== 0) return order < 0;
  }
  return isPreferred(rank(layout, objectives, UNKNOWN), best, objectives);
}

export class Preferred implements LoadingKeep {
  /** Of the best of which others have told. Who has found it hands it on: it is not kept here. */
  private told: Standing | undefined;

  constructor(
    private readonly brief: Pick<Brief, 'minimise'>,
    private readonly kept: BestSoFar,
  ) {}

  readonly admits = (layout: Layout): boolean => [this.kept.best, this.told].every((best) => mayBeBetter(layout, best, this.brief.minimise));

  readonly offer = (layout: Layout, witness: Passing): void => {
    this.kept.offer(layout, witness);
  };

  readonly hear = (standing: Standing): void => {
    if (this.told === undefined || isPreferred(standing, this.told, this.brief.minimise)) this.told = standing;
  };
}
