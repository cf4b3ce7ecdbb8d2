/**
 * The flow bound: for a whole layout, the most that can leave by its exits per tick, never below what
 * the simulator gives. Arms are bounded by the rate model, lanes by v / P, chests by nothing or by what fills them; then a
 * greatest flow through the graph of lanes. The search has its own, partial version of this graph (`lane-flow.ts`).
 */
import { sameTile } from '../../src/base/geometry.js';
import { ZERO, minRational, ratio, type Rational } from '../../src/base/rational.js';
import { dropOn } from '../../src/layout/drop.js';
import { placeTile, type Layout, type PlacedArm, type Side } from '../../src/layout/layout.js';
import { deriveNetwork, type Carrier, type Network } from '../../src/layout/network.js';
import { MaxFlow } from '../../src/synthesis/rates/max-flow.js';
import { armRateBound, armRateBoundOfAnyHand, endRateBound, fillRate, passRateBound, type DropKind } from '../../src/synthesis/rates/rate-model.js';
import { rateScale, type RateScale } from '../../src/synthesis/rates/rate-scale.js';

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

/** An arm that puts items onto a carrier, out of a chest unless undefined. */
interface Source {
  readonly rate: Rational;
  readonly drop: DropKind & { readonly side: Side };
  readonly carrier: Carrier;
  readonly chest: number | undefined;
}

function sourcesOf(layout: Layout, network: Network): readonly Source[] {
  return network.arms.flatMap(({ part, pick, place }): readonly Source[] => {
    const arm = layout.parts[part];
    if (arm.kind !== 'arm' || place.kind !== 'carrier' || pick.kind === 'nothing') return [];
    const carrier = network.carriers[place.carrier];
    return [{ ...armBound(layout, network, arm, carrier, pick.kind !== 'carrier'), carrier, chest: pick.kind === 'chest' ? pick.part : undefined }];
  });
}

/** By chest: what arms bring it from wagons while these stand there. */
function suppliesOf(layout: Layout, network: Network): ReadonlyMap<number, Rational> {
  const supplies = new Map<number, Rational>();
  for (const { part, pick, place } of network.arms) {
    const arm = layout.parts[part];
    if (arm.kind !== 'arm' || place.kind !== 'chest' || pick.kind !== 'wagon') continue;
    supplies.set(place.part, (supplies.get(place.part) ?? ZERO).add(fillRate(arm.model)));
  }
  return supplies;
}

/** By carrier: most that leaves a lane, which is more than passes along it only where items are set down on it or come faster. */
function laneRatesOf({ catalog }: Layout, { carriers }: Network, sources: readonly Source[]): readonly Rational[] {
  const dropped = new Set(sources.map(({ carrier }) => carrier.index));
  return carriers.map(({ index, kind, shape, speed, behind, fromLeft, fromRight }) => {
    const merges = shape === 'straight' && (fromLeft !== undefined || fromRight !== undefined);
    const hurried = [behind, fromLeft, fromRight].some((feeder) => feeder !== undefined && carriers[feeder].speed > speed);
    const setDown = dropped.has(index) || merges || hurried || kind === 'splitter-half';
    return (setDown ? endRateBound : passRateBound)(catalog, speed);
  });
}

/** What flows: through which carriers, and from where. Chests that are left out give whatever their arms take. */
interface Flows {
  readonly layout: Layout;
  readonly network: Network;
  readonly sources: readonly Source[];
  readonly laneRates: readonly Rational[];
  readonly chests: ReadonlyMap<number, Rational>;
  readonly scale: RateScale;
}

/** Of a carrier's lanes: where items come in (0: left, 1: right), and for a splitter half where they leave (2, 3). */
type LaneNodes = readonly [number, number, number, number];

/** Where items leave a lane. */
const leaving = (nodes: readonly LaneNodes[], { index, kind }: Carrier, lane: 0 | 1): number => nodes[index][kind === 'splitter-half' ? lane + 2 : lane];

/** Most that leaves over those lanes of exits that count. */
function greatestFlow(flows: Flows, counts: (exit: number, lane: 0 | 1) => boolean): Rational {
  const { layout, network, scale } = flows;
  const graph = new MaxFlow();
  const source = graph.addNode();
  const sink = graph.addNode();
  const nodes = network.carriers.map((): LaneNodes => [graph.addNode(), graph.addNode(), graph.addNode(), graph.addNode()]);
  const exits = layout.exits.map(({ take }) => {
    const node = graph.addNode();
    graph.addEdge(node, sink, take === undefined ? Number.MAX_SAFE_INTEGER : scale.supply(take));
    return node;
  });
  linkLanes(graph, flows, nodes, (exit, lane) => (counts(exit, lane) ? exits[exit] : undefined));
  linkSources(graph, flows, nodes, source);
  return ratio(graph.solve(source, sink), scale.factor);
}

/** `exitNode`: undefined where what leaves doesn't count. */
function linkLanes(graph: MaxFlow, { network, laneRates, scale }: Flows, nodes: readonly LaneNodes[], exitNode: (exit: number, lane: 0 | 1) => number | undefined): void {
  for (const carrier of network.carriers) {
    const { index, next } = carrier;
    const most = scale.supply(laneRates[index]);
    const mate = mateOf(network, carrier);
    for (const lane of [0, 1] as const) {
      const leaves = leaving(nodes, carrier, lane);
      if (leaves !== nodes[index][lane]) graph.addEdge(nodes[index][lane], leaves, most);
      if (mate !== undefined) graph.addEdge(nodes[index][lane], leaving(nodes, mate, lane), most);
      if (next.kind === 'exit') {
        const exit = exitNode(next.exit, lane);
        if (exit !== undefined) graph.addEdge(leaves, exit, most);
      } else if (next.kind === 'carrier') {
        const into = next.entry === 'tee-left' ? 0 : next.entry === 'tee-right' ? 1 : lane;
        graph.addEdge(leaves, nodes[next.carrier][into], most);
      }
    }
  }
}

function linkSources(graph: MaxFlow, { network, sources, chests, scale }: Flows, nodes: readonly LaneNodes[], source: number): void {
  const chestNodes = new Map<number, number>();
  for (const [chest, supply] of chests) {
    const node = graph.addNode();
    chestNodes.set(chest, node);
    graph.addEdge(source, node, scale.supply(supply));
  }
  for (const { rate, drop, carrier, chest } of sources) {
    const most = scale.supply(rate);
    const arm = graph.addNode();
    graph.addEdge((chest === undefined ? undefined : chestNodes.get(chest)) ?? source, arm, most);
    const lane = laneOf(drop.side);
    graph.addEdge(arm, leaving(nodes, carrier, lane), most);
    const mate = drop.kind === 'line' ? mateOf(network, carrier) : undefined;
    if (mate !== undefined) graph.addEdge(arm, leaving(nodes, mate, lane), most);
  }
}

/**
 * Most items per tick by each exit, taken one exit (or lane) at a time, and over all exits together.
 * With `presence`, chests give no more than the arms that fill them from wagons bring, times that; else whatever is taken.
 */
export function flowBound(
  layout: Layout,
  presence: Rational | undefined = undefined,
): { readonly all: Rational; readonly exits: readonly ExitBound[] } {
  const network = deriveNetwork(layout);
  const sources = sourcesOf(layout, network);
  const laneRates = laneRatesOf(layout, network, sources);
  const chests = new Map<number, Rational>();
  if (presence !== undefined) {
    const filled = suppliesOf(layout, network);
    for (const { chest } of sources) if (chest !== undefined) chests.set(chest, (filled.get(chest) ?? ZERO).mul(presence));
  }
  const takes = layout.exits.flatMap(({ take }) => (take === undefined ? [] : [take]));
  const scale = rateScale([...sources.map(({ rate }) => rate), ...laneRates, ...takes, ...chests.values()], MOST_FACTOR);
  const flows: Flows = { layout, network, sources, laneRates, chests, scale };
  const exits = layout.exits.map((_, exit): ExitBound => {
    const left = greatestFlow(flows, (at, lane) => at === exit && lane === 0);
    const right = greatestFlow(flows, (at, lane) => at === exit && lane === 1);
    return { left, right, total: minRational(greatestFlow(flows, (at) => at === exit), left.add(right)) };
  });
  return { all: greatestFlow(flows, () => true), exits };
}
