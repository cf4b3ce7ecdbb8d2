/**
 * What a whole crew's carriers cost at least if they fall into networks that serve given exits: the cheapest way of dealing
 * its load arms out, each network with its own arms, chests and fill arms standing, and what its chests hold shared. A network
 * costs what is known of just its arms; where its kind is dearer, it is not looked at.
 */
import { partsOf } from '../bills/unsplit.js';
import { MaxFlow } from '../rates/max-flow.js';
import { sum, type Counts } from '../site/bill.js';
import { crewKey, type Crew, type CrewArm } from '../site/crew.js';
import type { SiteMap } from '../site/site-map.js';
import type { Ground, Kind, NetworkKinds } from './network-kinds.js';

/** One network of a division: what is known of its arms, with their chests. */
export interface Member {
  readonly ground: Ground;
  readonly kind: Kind;
  readonly crew: Crew;
  /** Of the crew, among the kind's. */
  readonly key: string;
  readonly price: number;
}

interface CrewDivision {
  readonly cost: number;
  readonly members: readonly Member[];
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

export class CrewDivisions {
  private readonly graph = new MaxFlow();

  constructor(
    private readonly map: SiteMap,
    private readonly kinds: NetworkKinds,
  ) {}

  /** The cheapest over these ways of dividing the exits (of each way, the grounds), if it costs less than `below`; else a division of nothing that costs `below`. */
  cheapest(crew: Crew, splitters: Counts, ways: readonly (readonly Ground[])[], below: number): CrewDivision {
    const { map, kinds } = this;
    const loading = crew.arms.filter(({ role }) => role === 'load');
    let best: CrewDivision = { cost: below, members: [] };
    const groups: (readonly CrewArm[])[] = [];
    const parts = new Map<number, Crew>();
    const deal = (grounds: readonly Ground[], at: number, left: number, splittersLeft: Counts, spent: number, members: readonly Member[], dealt: readonly Counts[]): void => {
      const ground = grounds[at];
      const isLast = at === grounds.length - 1;
      for (let mask = left; mask > 0; mask = isLast ? 0 : (mask - 1) & left) {
        const arms = loading.filter((_, arm) => (mask & (1 << arm)) !== 0);
        // Of networks that serve exits alike, the one with the first arm comes first.
        if (at > 0 && ground === grounds[at - 1] && crew.arms.indexOf(arms[0]) < crew.arms.indexOf(groups[at - 1][0])) continue;
        const loads = map.arms.map((_, m) => arms.filter(({ model }) => model === m).length);
        const chests = new Set(arms.flatMap(({ chest }) => (chest < 0 ? [] : [chest]))).size;
        for (const some of isLast ? [splittersLeft] : partsOf(splittersLeft)) {
          const kind = kinds.kindOf(ground, { loads, splitters: some, chests });
          if (spent + kind.least >= best.cost) continue;
          const part = parts.get(mask) ?? partOfCrew(crew, arms);
          parts.set(mask, part);
          const member = memberOf(ground, kind, part);
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
  private suffices({ chests, arms }: Crew, grounds: readonly Ground[], groups: readonly (readonly CrewArm[])[], splitters: readonly Counts[]): boolean {
    const { graph, map } = this;
    graph.reset();
    const source = graph.addNode();
    const sink = graph.addNode();
    const holds = chests.map(() => graph.addNode());
    for (const { role, chest, model } of arms) if (role === 'fill') graph.addEdge(source, holds[chest], map.fillRates[model]);
    let asked = 0;
    grounds.forEach((ground, g) => {
      const node = graph.addNode();
      const divides = splitters[g].some((n) => n > 0);
      const demand = sum(ground.exits.map((e) => map.demands[e].total));
      asked += demand;
      graph.addEdge(node, sink, demand);
      for (const { chest, model } of groups[g]) {
        graph.addEdge(chest < 0 ? source : holds[chest], node, map.bestLane[model] + (divides ? map.lineGain[model] : 0));
      }
    });
    return graph.solve(source, sink, asked) >= asked;
  }

  /** Searches one network's carriers at their price: some are found, or the price rises. */
  raise({ ground, kind, crew, key, price }: Member): void {
    const next = this.kinds.searchCrew({ ground, kind }, crew, price);
    if (next === undefined) kind.foundFor.add(key);
    else pricesOfMembers(ground, kind).set(key, next);
  }
}

/** Where networks have no copies, what is known of a kind's crews holds of those of a division too. */
const pricesOfMembers = ({ wide }: Ground, { crews, members }: Kind): Map<string, number> => (wide === undefined ? crews : members);

function memberOf(ground: Ground, kind: Kind, crew: Crew): Member {
  const key = crewKey(crew);
  const prices = pricesOfMembers(ground, kind);
  let price = prices.get(key);
  if (price === undefined) prices.set(key, (price = ground.search.leastCost(crew, kind.splitters, true)));
  return { ground, kind, crew, key, price };
}
