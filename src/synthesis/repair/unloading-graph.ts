/**
 * What the bound on repairs knows of stations that empty wagons: items come from wagons, perhaps through chests, and over
 * entries; they are wanted at the exits.
 */
import type { Brief } from '../../brief/brief.js';
import { entriesOf, pickTile, placeTile, wagonAt } from '../../layout/layout.js';
import { indexOfHeading, laneRate, lineRate } from '../site/site-map.js';
import { bySpeed, carrierToCarrier, CHEST_IN, CHEST_OUT, ENDLESS, IN, layDrops, nodeOf, OUT, POOL, type FlowGround, type MendGraph } from './mend-graph.js';
import { tileNumber, type Universe } from './mend-universe.js';

/** What leaves over exits, and what is asked of them. */
function layExits(ground: FlowGround): void {
  const { universe, sink, newNode, addEdge } = ground;
  const { map, leaving } = universe;
  const { demands, wanted } = map;
  const together = wanted - demands.reduce((sum, { total }) => sum + total, 0);
  const common = newNode();
  addEdge(common, sink, together);
  // [exit][lane]
  const exits = demands.map(({ left, right, total }) => {
    const extra = newNode();
    addEdge(extra, sink, total - left - right);
    return [left, right].map((asked) => {
      const lane = newNode();
      addEdge(lane, sink, asked);
      addEdge(lane, extra, ENDLESS);
      if (together > 0) addEdge(lane, common, ENDLESS);
      return lane;
    });
  });
  map.exitsAt.forEach((bits, edge) => {
    if (bits === 0) return;
    for (const [speed, makers] of bySpeed(universe, leaving[edge])) {
      exits.forEach((lanes, exit) => {
        if ((bits & (1 << exit)) === 0) return;
        lanes.forEach((lane, side) => {
          addEdge(nodeOf(edge >> 2, OUT, edge & 3, side), lane, map.endCapacities[speed], makers);
        });
      });
    }
  });
}

function layArms(ground: FlowGround, feed: Brief['feed']): void {
  const { universe, source, newNode, addEdge } = ground;
  const { map, placements, layout } = universe;
  const speeds = [...map.laneRates.keys()];
  const offCarriers = map.arms.map((arm) => map.scale.supply(carrierToCarrier(map, arm, speeds)));
  placements.forEach(({ part, heading }, id) => {
    if (part.kind !== 'arm') return;
    const m = map.arms.findIndex(({ name }) => name === part.model.name);
    const pick = pickTile(part);
    const onto = tileNumber(map, placeTile(part));
    const isAtWagon = wagonAt(layout.wagons, pick) !== undefined;
    const from = isAtWagon ? -1 : tileNumber(map, pick);
    if (onto < 0) return;
    const hand = newNode();
    const best = speeds.reduce((most, speed) => Math.max(most, lineRate(map, speed, m, 2)), map.bestLane[m]);
    if (from >= 0) {
      if (feed !== 'direct') addEdge(nodeOf(from, CHEST_OUT), hand, best, [id]);
      addEdge(nodeOf(from, POOL), hand, offCarriers[m], [id]);
    } else if (isAtWagon) {
      addEdge(source, nodeOf(onto, CHEST_IN), map.fillRates[m], [id]);
      if (feed !== 'chests') addEdge(source, hand, best, [id]);
    }
    // With a part-full hand off a carrier an arm may be quicker than any with a full one.
    const most = (rate: number): number => Math.max(rate, from >= 0 ? offCarriers[m] : 0);
    layDrops(ground, hand, heading, onto, { lane: (speed, quarter) => most(laneRate(map, speed, m, quarter)), line: (speed) => most(lineRate(map, speed, m, 2)) });
  });
}

export const unloadingGraph = ({ map }: Universe, feed: Brief['feed']): MendGraph => ({
  wanted: map.wanted,
  laneEnd: (speed) => map.endCapacities[speed],
  lay: (ground) => {
    const { universe, source, addEdge } = ground;
    layExits(ground);
    for (const { at, heading } of entriesOf(universe.layout)) {
      for (const lane of [0, 1]) addEdge(source, nodeOf(tileNumber(map, at), IN, indexOfHeading(heading), lane), ENDLESS);
    }
    layArms(ground, feed);
  },
});
