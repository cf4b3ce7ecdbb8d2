/**
 * Random visit runs: the random plans of `random-plans.ts`, with containers small enough to run dry and fill, and trains
 * that bring little, often.
 */
import { seededRandom } from '../../src/base/random.js';
import type { Layout } from '../../src/layout/layout.js';
import type { VisitTerms } from '../../src/simulation/visit-result.js';
import { seededLoadingPlan, seededPlan } from './random-plans.js';

export interface RandomVisits {
  readonly layout: Layout;
  readonly terms: VisitTerms;
}

/** Undefined where the seed's plan has no wagon. */
export const seededVisits = (seed: number): RandomVisits | undefined => visitsOf(seededPlan(seed), seed);

/** Trains that leave full, where items come in over entries. */
export function seededLoadings(seed: number): RandomVisits | undefined {
  const visits = visitsOf(seededLoadingPlan(seed), seed);
  if (visits === undefined) return undefined;
  const draw = seededRandom(seed * 32_452_843 + 5);
  // Often so small that some trains are full before long.
  const isSmall = draw(3) > 0;
  const wagons = visits.layout.wagons.map((wagon) => (isSmall ? { ...wagon, model: { ...wagon.model, capacity: 1 + draw(8) } } : wagon));
  const loads = wagons.map(({ model }) => (draw(3) > 0 ? draw(model.capacity + 1) : 0));
  return { layout: { ...visits.layout, wagons }, terms: { ...visits.terms, loads, leaves: 'full' } };
}

function visitsOf(plan: Layout, seed: number): RandomVisits | undefined {
  if (plan.wagons.length === 0) return undefined;
  const draw = seededRandom(seed * 15_485_863 + 11);
  const wide = draw(3) === 0;
  const capacityOf = (): number => 1 + draw(wide ? 400 : 30);
  const layout: Layout = {
    ...plan,
    wagons: plan.wagons.map((wagon) => ({ ...wagon, model: { ...wagon.model, capacity: capacityOf() } })),
    parts: plan.parts.map((part) => (part.kind === 'chest' ? { ...part, model: { ...part.model, capacity: capacityOf() } } : part)),
  };
  // Mostly a train that leaves in the end: what no arm takes never empties a wagon.
  const staysLong = draw(3) === 0;
  return {
    layout,
    terms: {
      loads: layout.wagons.map(({ model }) => (draw(8) === 0 ? 0 : 1 + draw(model.capacity))),
      levels: layout.parts.flatMap((part) =>
        part.kind === 'chest' ? [[0, part.model.capacity, draw(part.model.capacity + 1)][draw(3)]] : [],
      ),
      headwayTicks: draw(2) === 0 ? undefined : draw(300),
      stayTicks: staysLong ? undefined : 1 + draw(250),
    },
  };
}
