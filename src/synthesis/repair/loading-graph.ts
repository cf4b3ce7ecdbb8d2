/**
 * What the bound on repairs knows of stations that fill wagons: items come in over entries, arms bring them into wagons,
 * straight or through one chest. Nothing else gives anything: no arm of a repair takes from a wagon, so a chest whose
 * items go elsewhere than into wagons runs dry.
 */
import { ratio, sumRational, type Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import { entriesOf, pickTile, placeTile, wagonAt } from '../../layout/layout.js';
import { pickRateBound } from '../loading/loading-arms.js';
import { trainFlows, wantedFlows } from '../loading/loading-demand.js';
import { endRateBound, fillRate } from '../rates/rate-model.js';
import { rateScale, ROOM_ABOVE } from '../rates/rate-scale.js';
import { indexOfHeading } from '../site/site-map.js';
import { bySpeed, carrierToCarrier, CHEST_IN, CHEST_OUT, ENDLESS, IN, layDrops, nodeOf, POOL, type FlowGround, type MendGraph } from './mend-graph.js';
import { tileNumber, type Universe } from './mend-universe.js';

/** Flow networks add some tens of these; 2^53 leaves ample room. */
const MOST_FACTOR = 1_000_000_000;

/** What is asked in items per tick, and what one arm of each model and one lane of each speed carry at most. */
interface Rates {
  readonly entries: readonly Rational[];
  readonly wagons: readonly Rational[];
  readonly together: Rational;
  /** For as many trains an hour as are asked for. */
  readonly forTrains: Rational;
  /** [arm model]: from a carrier into a chest, straight into a wagon, from a chest into one, from carrier to carrier. */
  readonly arms: readonly { readonly fill: Rational; readonly straight: Rational; readonly deliver: Rational; readonly onward: Rational }[];
  /** By speed: what comes over an edge, and what leaves a lane. */
  readonly lanes: ReadonlyMap<number, { readonly entering: Rational; readonly leaving: Rational }>;
}

function ratesOf({ map }: Universe, brief: Brief, job: LoadJob): Rates {
  const { catalog, presence } = brief;
  const speeds = [...map.laneRates.keys()];
  return {
    ...wantedFlows(job, brief),
    forTrains: trainFlows(brief).through,
    arms: map.arms.map((arm) => ({
      fill: pickRateBound(arm),
      straight: pickRateBound(arm).mul(presence),
      deliver: fillRate(arm).mul(presence),
      onward: carrierToCarrier(map, arm, speeds),
    })),
    lanes: new Map(speeds.map((speed) => [speed, { entering: ratio(speed, catalog.pitch), leaving: endRateBound(catalog, speed) }])),
  };
}

/**
 * Nodes of which each has to pass on what is asked of it, and all together `wanted`; `end` is source or sink. Where not all
 * of them are held to their own share, any of them may make up the whole.
 */
function layShares({ newNode, addEdge }: FlowGround, end: number, isSource: boolean, asked: readonly number[], wanted: number): readonly number[] {
  const join = (a: number, b: number, most: number): void => {
    if (isSource) addEdge(a, b, most);
    else addEdge(b, a, most);
  };
  const rest = newNode();
  join(end, rest, wanted - asked.reduce((sum, each) => sum + each, 0));
  return asked.map((own) => {
    const node = newNode();
    join(end, node, own);
    join(rest, node, ENDLESS);
    return node;
  });
}

const none = (all: readonly number[]): readonly number[] => all.map(() => 0);

export function loadingGraph(universe: Universe, brief: Brief, job: LoadJob): MendGraph {
  const { map, layout, placements, taking } = universe;
  const { feed, exceed = false } = brief;
  const rates = ratesOf(universe, brief, job);
  const all = [
    ...rates.entries, ...rates.wagons, rates.together, rates.forTrains,
    ...rates.arms.flatMap((arm) => [arm.fill, arm.straight, arm.deliver, arm.onward]),
    ...[...rates.lanes.values()].flatMap((lane) => [lane.entering, lane.leaving]),
  ];
  const scale = rateScale(all, MOST_FACTOR, exceed ? ROOM_ABOVE : 1);
  const asked = (rate: Rational): number => (exceed ? scale.demandAbove(rate) : scale.demand(rate));
  const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);
  const [entries, wagons] = [rates.entries.map(asked), rates.wagons.map(asked)];
  const wanted = Math.max(sum(entries), sum(wagons), asked(rates.together), scale.demand(rates.forTrains));
  // One flow that is held to shares at both ends might be too much to ask: it need not be the same items.
  const heldAtEntries = sum(entries) >= sum(wagons);
  const arms = rates.arms.map((arm) => ({ fill: scale.supply(arm.fill), straight: scale.supply(arm.straight), deliver: scale.supply(arm.deliver), onward: scale.supply(arm.onward) }));

  const layEntries = (ground: FlowGround): void => {
    const { source, newNode, addEdge } = ground;
    const nodes = layShares(ground, source, true, heldAtEntries ? entries : none(entries), wanted);
    entriesOf(layout).forEach(({ at, heading, give }, entry) => {
      const offered = newNode();
      addEdge(nodes[entry], offered, give === undefined ? ENDLESS : scale.supply(give));
      const [tile, way] = [tileNumber(map, at), indexOfHeading(heading)];
      const inward = taking[tile * 4 + way].filter((id) => placements[id].heading === way);
      for (const [speed, makers] of bySpeed(universe, inward)) {
        const most = scale.supply(rates.lanes.get(speed)?.entering ?? sumRational([]));
        for (const lane of [0, 1]) addEdge(offered, nodeOf(tile, IN, way, lane), most, makers);
      }
    });
  };

  const layArms = (ground: FlowGround): void => {
    const { sink, newNode, addEdge } = ground;
    const wagonNodes = layShares(ground, sink, false, heldAtEntries ? none(wagons) : wagons, wanted);
    placements.forEach(({ part, heading }, id) => {
      if (part.kind !== 'arm') return;
      const { fill, straight, deliver, onward } = arms[map.arms.findIndex(({ name }) => name === part.model.name)];
      const [pick, place] = [pickTile(part), placeTile(part)];
      const from = wagonAt(layout.wagons, pick) === undefined ? tileNumber(map, pick) : -1;
      if (from < 0) return;
      const wagon = wagonAt(layout.wagons, place);
      if (wagon !== undefined) {
        if (feed !== 'chests') addEdge(nodeOf(from, POOL), wagonNodes[wagon], straight, [id]);
        if (feed !== 'direct') addEdge(nodeOf(from, CHEST_OUT), wagonNodes[wagon], deliver, [id]);
        return;
      }
      const onto = tileNumber(map, place);
      if (onto < 0) return;
      if (feed !== 'direct') addEdge(nodeOf(from, POOL), nodeOf(onto, CHEST_IN), fill, [id]);
      const hand = newNode();
      addEdge(nodeOf(from, POOL), hand, onward, [id]);
      layDrops(ground, hand, heading, onto, { lane: () => onward, line: () => onward });
    });
  };

  return {
    wanted,
    laneEnd: (speed) => scale.supply(rates.lanes.get(speed)?.leaving ?? sumRational([])),
    lay: (ground) => {
      layEntries(ground);
      layArms(ground);
    },
  };
}
