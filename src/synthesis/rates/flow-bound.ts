/**
 * The flow bound: for a whole layout, the most that can leave by its exits per tick, never below what
 * the simulator gives. Arms are bounded by the rate model, lanes by v / P, chests by nothing; then a
 * greatest flow through the graph of lanes. The search has its own, partial version of this graph.
 */
import { sameTile } from '../../base/geometry.js';
import { ZERO, minRational, ratio, type Rational } from '../../base/rational.js';
import { dropOn } from '../../layout/drop.js';
import { placeTile, type Layout, type PlacedArm, type Side } from '../../layout/layout.js';
import { deriveNetwork, type Carrier, type Network } from '../../layout/network.js';
import { MaxFlow } from './max-flow.js';
import { armRateBound, armRateBoundOfAnyHand, endRateBound, fillRate, passRateBound, type DropKind } from './rate-model.js';
import { rateScale } from './rate-scale.js';

const MOST_FACTOR = 1_000_000_000;

interface ExitBound {
  readonly total: Rational;
  readonly left: Rational;
  readonly right: Rational;
}

const laneOf = (side: Side): 0 | 1 => (side === 'left' ? 0 : 1);

/** The half beside a splitter half, or undefined for other carriers. */
function mateOf(network: Network, carrier: Carrier): Carrier | undefined {
  if (carrier.kind !== 'splitter-half') return undefined;
  return network.carriers.find((other) => other.part === carrier.part && other.index !== carrier.index);
}

/** Units past a carrier's head at which the tests of distance end; Infinity beyond a pitch. */
function testsEndAfter(network: Network, carrier: Carrier, lane: 0 | 1, pitch: number, unitsPerTile: number): number {
  let past = 0;
  let at = carrier;
  while (past < pitch) {
    if (at.next.kind !== 'carrier') return past;
    if (at.next.entry !== 'behind' && at.next.entry !== 'turn') return past;
    at = network.carriers[at.next.carrier];
    if (at.kind === 'splitter-half') return past + unitsPerTile / 2;
    past += lane === 0 ? at.leftLength : at.rightLength;
  }
  return Infinity;
}

function dropKindOf(layout: Layout, network: Network, arm: PlacedArm, carrier: Carrier): DropKind & { readonly side: Side } {
  const { pitch, unitsPerTile } = layout.catalog;
  const drop = dropOn(arm.heading, carrier.heading, carrier.kind === 'splitter-half');
  const lane = laneOf(drop.side);
  if (drop.kind === 'line') {
    const halves = [carrier, mateOf(network, carrier)].filter((half) => half !== undefined);
    const open = halves.filter((half) => half.next.kind !== 'nothing');
    const ends = open.map((half) => testsEndAfter(network, half, lane, pitch, unitsPerTile));
    return {
      kind: 'line',
      speed: carrier.speed,
      outputs: open.length > 1 ? 2 : 1,
      testsEndAfter: Math.min(Infinity, ...ends),
      side: drop.side,
    };
  }
  const onEnd = carrier.kind === 'underpass';
  const laneLength = onEnd ? unitsPerTile : lane === 0 ? carrier.leftLength : carrier.rightLength;
  // Past the entry of an underpass lies its tunnel: nothing ends the tests there within a pitch.
  const atEntry = onEnd && sameTile(placeTile(arm), carrier.tail);
  return {
    kind: 'lane',
    speed: carrier.speed,
    laneLength,
    spot: Math.floor((laneLength * drop.quarter) / 4),
    testsEndAfter: atEntry ? Infinity : testsEndAfter(network, carrier, lane, pitch, unitsPerTile),
    side: drop.side,
  };
}

/** Most items per tick that an arm of a layout delivers onto the carrier on which it places. */
function armBound(
  layout: Layout,
  network: Network,
  arm: PlacedArm,
  carrier: Carrier,
  fullHands: boolean,
): { readonly rate: Rational; readonly drop: DropKind & { readonly side: Side } } {
  const drop = dropKindOf(layout, network, arm, carrier);
  const rate = fullHands ? armRateBound(layout.catalog, arm.model, drop) : armRateBoundOfAnyHand(layout.catalog, arm.model, drop);
  return { rate, drop };
}

/**
 * Most items per tick by each exit, taken one exit (or lane) at a time, and over all exits together.
 * `supplies` whether chests give no more than the arms that fill them from wagons bring, times `presence`.
 */
export function flowBound(
  layout: Layout,
  presence: Rational | undefined = undefined,
): { readonly all: Rational; readonly exits: readonly ExitBound[] } {
  const network = deriveNetwork(layout);
  const sources: { rate: Rational; drop: DropKind & { side: Side }; carrier: Carrier; chest: number | undefined }[] = [];
  const supplyOfChest = new Map<number, Rational>();
  for (const link of network.arms) {
    const arm = layout.parts[link.part];
    if (arm.kind !== 'arm') continue;
    if (link.place.kind === 'chest' && link.pick.kind === 'wagon') {
      const supply = supplyOfChest.get(link.place.part) ?? ZERO;
      supplyOfChest.set(link.place.part, supply.add(fillRate(arm.model)));
    }
    if (link.place.kind !== 'carrier' || link.pick.kind === 'nothing') continue;
    const carrier = network.carriers[link.place.carrier];
    const chest = link.pick.kind === 'chest' ? link.pick.part : undefined;
    sources.push({ ...armBound(layout, network, arm, carrier, link.pick.kind !== 'carrier'), carrier, chest });
  }
  // Most that leaves a lane: more than passes along it only where items are set down on it or come faster.
  const dropped = new Set(sources.map((source) => source.carrier.index));
  const laneRates = network.carriers.map((carrier) => {
    const merges = carrier.shape === 'straight' && (carrier.fromLeft !== undefined || carrier.fromRight !== undefined);
    const feeders = [carrier.behind, carrier.fromLeft, carrier.fromRight].filter((feeder) => feeder !== undefined);
    const hurried = feeders.some((feeder) => network.carriers[feeder].speed > carrier.speed);
    const setDown = dropped.has(carrier.index) || merges || hurried || carrier.kind === 'splitter-half';
    return (setDown ? endRateBound : passRateBound)(layout.catalog, carrier.speed);
  });
  const takes = layout.exits.flatMap((exit) => (exit.take === undefined ? [] : [exit.take]));
  const supplies = [...supplyOfChest.values()].map((supply) => (presence === undefined ? supply : supply.mul(presence)));
  const scale = rateScale([...sources.map((source) => source.rate), ...laneRates, ...takes, ...supplies], MOST_FACTOR);

  const bound = (counts: (exit: number, lane: 0 | 1) => boolean): Rational => {
    const flow = new MaxFlow();
    const source = flow.addNode();
    const sink = flow.addNode();
    // Two nodes a lane: where items come in (0: left, 1: right), and for a splitter half where they leave (2, 3).
    const nodes = network.carriers.map(() => [flow.addNode(), flow.addNode(), flow.addNode(), flow.addNode()] as const);
    const exitNodes = layout.exits.map(() => flow.addNode());
    const chestNodes = new Map<number, number>();
    layout.exits.forEach((exit, index) => {
      flow.addEdge(exitNodes[index], sink, exit.take === undefined ? Number.MAX_SAFE_INTEGER : scale.supply(exit.take));
    });
    network.carriers.forEach((carrier, index) => {
      const most = scale.supply(laneRates[index]);
      const mate = mateOf(network, carrier);
      for (const lane of [0, 1] as const) {
        const leaves = carrier.kind === 'splitter-half' ? nodes[index][lane + 2] : nodes[index][lane];
        if (carrier.kind === 'splitter-half') {
          flow.addEdge(nodes[index][lane], leaves, most);
          if (mate !== undefined) flow.addEdge(nodes[index][lane], nodes[mate.index][lane + 2], most);
        }
        if (carrier.next.kind === 'exit') {
          if (counts(carrier.next.exit, lane)) flow.addEdge(leaves, exitNodes[carrier.next.exit], most);
        } else if (carrier.next.kind === 'carrier') {
          const { carrier: to, entry } = carrier.next;
          const into = entry === 'tee-left' ? 0 : entry === 'tee-right' ? 1 : lane;
          flow.addEdge(leaves, nodes[to][into], most);
        }
      }
    });
    for (const { rate, drop, carrier, chest } of sources) {
      const most = scale.supply(rate);
      let from = source;
      if (chest !== undefined && presence !== undefined) {
        from = chestNodes.get(chest) ?? flow.addNode();
        if (!chestNodes.has(chest)) {
          chestNodes.set(chest, from);
          flow.addEdge(source, from, scale.supply((supplyOfChest.get(chest) ?? ZERO).mul(presence)));
        }
      }
      const arm = flow.addNode();
      flow.addEdge(from, arm, most);
      const lane = laneOf(drop.side);
      if (drop.kind === 'line') {
        flow.addEdge(arm, nodes[carrier.index][lane + 2], most);
        const mate = mateOf(network, carrier);
        if (mate !== undefined) flow.addEdge(arm, nodes[mate.index][lane + 2], most);
      } else {
        const onSplitter = carrier.kind === 'splitter-half';
        flow.addEdge(arm, nodes[carrier.index][onSplitter ? lane + 2 : lane], most);
      }
    }
    return ratio(flow.solve(source, sink), scale.factor);
  };

  const exits = layout.exits.map((_, exit): ExitBound => {
    const left = bound((at, lane) => at === exit && lane === 0);
    const right = bound((at, lane) => at === exit && lane === 1);
    return { left, right, total: minRational(bound((at) => at === exit), left.add(right)) };
  });
  return { all: bound(() => true), exits };
}
