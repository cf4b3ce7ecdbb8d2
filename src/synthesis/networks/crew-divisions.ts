/**
 * What a whole crew's carriers cost at least if they fall into networks that serve given exits: the cheapest way of dealing
 * its load arms out, each network with its own arms, chests and fill arms standing, and what its chests hold shared. The
 * costs of single networks, and what becomes of them where they are not known yet, are in `network-costs.ts`.
 */
import type { Crew, CrewArm } from '../site/crew.js';
import { MaxFlow } from '../rates/max-flow.js';
import type { SiteMap } from '../site/site-map.js';
import { partsOf } from '../bills/unsplit.js';

type Counts = readonly number[];

/** One network of a division. */
export interface Member<G> {
  readonly ground: G;
  readonly loads: Counts;
  readonly splitters: Counts;
  readonly crew: Crew;
}

interface CrewDivision<M> {
  readonly cost: number;
  readonly members: readonly M[];
}

/** Grounds of networks, and what is known of each network's cost; Infinity where there is none. */
interface MemberCosts<G, M> {
  readonly demandOf: (ground: G) => number;
  /** What is known without looking at where its arms stand. */
  readonly leastOf: (ground: G, loads: Counts, splitters: Counts, chests: number) => number;
  readonly costOf: (member: Member<G>) => M & { readonly price: number };
}

/** A crew with all arms that load carriers, or with some of them and the chests and fill arms that they need. */
function partOfCrew({ chests, arms }: Crew, loading: readonly CrewArm[]): Crew {
  const kept = chests.map((_, chest) => chest).filter((chest) => loading.some((arm) => arm.chest === chest));
  const renumbered = (arm: CrewArm): CrewArm => ({ ...arm, chest: kept.indexOf(arm.chest) });
  return {
    chests: kept.map((chest) => chests[chest]),
    arms: arms.filter((arm) => (arm.role === 'fill' ? kept.includes(arm.chest) : loading.includes(arm))).map(renumbered),
  };
}

export class CrewDivisions<G, M> {
  private readonly graph = new MaxFlow();

  constructor(
    private readonly map: SiteMap,
    private readonly costs: MemberCosts<G, M>,
  ) {}

  /** The cheapest over these ways of dividing the exits (of each way, the grounds), if it costs less than `below`; else a division of nothing that costs `below`. */
  cheapest(crew: Crew, splitters: Counts, ways: readonly (readonly G[])[], below: number): CrewDivision<M> {
    const { map, costs } = this;
    const loading = crew.arms.filter(({ role }) => role === 'load');
    let best: CrewDivision<M> = { cost: below, members: [] };
    const groups: (readonly CrewArm[])[] = [];
    const parts = new Map<number, Crew>();
    const deal = (grounds: readonly G[], at: number, left: number, splittersLeft: Counts, spent: number, members: readonly M[], dealt: readonly Counts[]): void => {
      const ground = grounds[at];
      const isLast = at === grounds.length - 1;
      for (let mask = left; mask > 0; mask = isLast ? 0 : (mask - 1) & left) {
        const arms = loading.filter((_, arm) => (mask & (1 << arm)) !== 0);
        // Of networks that serve exits alike, the one with the first arm comes first.
        if (at > 0 && ground === grounds[at - 1] && crew.arms.indexOf(arms[0]) < crew.arms.indexOf(groups[at - 1][0])) continue;
        const loads = map.arms.map((_, m) => arms.filter(({ model }) => model === m).length);
        const chests = new Set(arms.flatMap(({ chest }) => (chest < 0 ? [] : [chest]))).size;
        for (const some of isLast ? [splittersLeft] : partsOf(splittersLeft)) {
          if (spent + costs.leastOf(ground, loads, some, chests) >= best.cost) continue;
          const part = parts.get(mask) ?? partOfCrew(crew, arms);
          parts.set(mask, part);
          const member = costs.costOf({ ground, loads, splitters: some, crew: part });
          const cost = spent + member.price;
          if (cost >= best.cost) continue;
          groups[at] = arms;
          if (!isLast) deal(grounds, at + 1, left & ~mask, splittersLeft.map((n, m) => n - some[m]), cost, [...members, member], [...dealt, some]);
          else if (this.suffices(crew, grounds, groups, [...dealt, some])) best = { cost, members: [...members, member] };
        }
      }
    };
    for (const grounds of ways) deal(grounds, 0, (1 << loading.length) - 1, splitters, 0, [], []);
    return best;
  }

  /** Whether its chests hold enough for all networks at once, each arm giving what it can at most. */
  private suffices({ chests, arms }: Crew, grounds: readonly G[], groups: readonly (readonly CrewArm[])[], splitters: readonly Counts[]): boolean {
    const { graph, map, costs } = this;
    graph.reset();
    const source = graph.addNode();
    const sink = graph.addNode();
    const holds = chests.map(() => graph.addNode());
    for (const { role, chest, model } of arms) if (role === 'fill') graph.addEdge(source, holds[chest], map.fillRates[model]);
    let asked = 0;
    grounds.forEach((ground, g) => {
      const node = graph.addNode();
      const divides = splitters[g].some((n) => n > 0);
      asked += costs.demandOf(ground);
      graph.addEdge(node, sink, costs.demandOf(ground));
      for (const { chest, model } of groups[g]) {
        graph.addEdge(chest < 0 ? source : holds[chest], node, map.bestLane[model] + (divides ? map.lineGain[model] : 0));
      }
    });
    return graph.solve(source, sink, asked) >= asked;
  }
}
