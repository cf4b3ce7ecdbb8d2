/**
 * Guesses into which parts a strand falls once it has run for a while: a tee merge that lets nothing in from a lane
 * that waits there ties nothing together, and a lane on whose beginning no item is ever held up hands nothing back to
 * what feeds it. Whether a guess holds is seen when the parts run (`steady-state.ts`); why it then holds for good
 * stands in `rationale.md`.
 */
import { ArmEndKind, Link, Op, type Machine, type Strand } from './machine.js';
import { itemAt } from './lanes.js';

/** What hands on to one end of the strand, with all that feeds it. Parts may share what feeds them. */
export interface StrandPart {
  readonly strand: Strand;
  /** Lanes on which, further upstream than `laneHeld` may come down to, no item may be held up. */
  readonly free: readonly { readonly lane: number; readonly held: number }[];
}

/** Whoever puts items onto a lane, as a node, and where on it at least and at most. */
interface Inserter {
  readonly node: number;
  readonly from: number;
  readonly to: number;
}

/** Whether parts may be told apart at all: rings, credit and hands that take from lanes are left alone. */
export const mayDecouple = (m: Machine, { arms, meters, entries }: Strand): boolean =>
  arms.length > 1 && !m.opensRing && meters.length === 0 && entries.length === 0 && arms.every((arm) => m.armPickKind[arm] === ArmEndKind.container);

/** A strand as a graph: nodes are the beginnings of lanes, their ends, splitters' sides, and arms. */
class Coupling {
  private readonly leader: Int32Array;
  /** By lane: where its beginning ends and what holds up there counts; -1: it is not divided. */
  readonly divide: Int32Array;
  readonly isClosed: Uint8Array;
  /** By lane that ends in a tee merge: the node that it enters. */
  private readonly enters: Int32Array;
  private readonly lanes: number;

  constructor(
    private readonly m: Machine,
    private readonly strand: Strand,
  ) {
    this.lanes = m.laneLink.length;
    this.leader = Int32Array.from({ length: this.lanes * 2 + m.toggleIn.length + m.armDue.length }, (_, node) => node);
    this.divide = new Int32Array(this.lanes).fill(-1);
    this.isClosed = new Uint8Array(this.lanes);
    this.enters = new Int32Array(this.lanes).fill(-1);
    for (const lane of strand.lanes) if (isClosed(m, lane)) this.isClosed[lane] = 1;
    this.tieAll();
    while (this.tieRound());
  }

  begins = (lane: number): number => this.find(lane);
  ends = (lane: number): number => this.find(this.lanes + lane);
  turn = (turn: number): number => this.find(this.lanes * 2 + turn);
  arm = (arm: number): number => this.find(this.lanes * 2 + this.m.toggleIn.length + arm);
  entered = (lane: number): number => this.find(this.enters[lane]);

  private find(node: number): number {
    let at = node;
    while (this.leader[at] !== at) at = this.leader[at] = this.leader[this.leader[at]];
    return at;
  }

  private tie(a: number, b: number): void {
    this.leader[this.find(a)] = this.find(b);
  }

  private tieAll(): void {
    const { m, strand } = this;
    const speed = strand.lanes.reduce((most, lane) => Math.max(most, m.laneSpeed[lane]), 0);
    const inserters = new Map<number, Inserter[]>([...strand.lanes].map((lane) => [lane, []]));
    const onto = (lane: number, inserter: Inserter): void => void inserters.get(lane)?.push(inserter);
    for (const lane of strand.lanes) {
      const node = this.lanes + lane;
      const to = m.laneTo[lane];
      if (m.laneLink[lane] === Link.onward) onto(to, { node, from: 0, to: speed });
      if (m.laneLink[lane] === Link.tee) onto(to, { node, from: m.laneJoin[lane], to: m.laneJoin[lane] + speed });
    }
    for (const turn of strand.turns) {
      const node = this.lanes * 2 + turn;
      const first = (turn >> 1) * 4 + (turn & 1);
      const beyond = strand.arms.reduce((most, arm) => (m.armPlaceKind[arm] === ArmEndKind.line && m.armPlaceLane[arm] === turn ? Math.max(most, m.armPlaceTo[arm]) : most), speed);
      for (const at of [first, first + 2]) {
        onto(m.splitterOut[at], { node, from: 0, to: beyond });
        if (inserters.has(m.splitterIn[at])) this.tie(this.lanes + m.splitterIn[at], node);
      }
    }
    for (const arm of strand.arms) {
      const node = this.lanes * 2 + m.toggleIn.length + arm;
      if (m.armPlaceKind[arm] === ArmEndKind.line) this.tie(node, this.lanes * 2 + m.armPlaceLane[arm]);
      if (m.armPlaceKind[arm] === ArmEndKind.lane) onto(m.armPlaceLane[arm], { node, from: m.armPlaceFrom[arm], to: m.armPlaceTo[arm] });
    }
    for (const [lane, onIt] of inserters) this.divideLane(lane, onIt.sort((a, b) => a.from - b.from), speed);
  }

  /** Divides a lane, if it may be, as far upstream as those allow who put items onto its beginning; ties all to one side or the other. */
  private divideLane(lane: number, inserters: readonly Inserter[], speed: number): void {
    const { m } = this;
    let divide = 0;
    // Who puts an item down looks a pitch ahead of it, and what is there may move on in the same tick.
    for (const { from, to } of inserters) if (from < divide || divide === 0) divide = Math.max(divide, to + m.pitch + speed);
    const atEnd = inserters.filter(({ from }) => from >= divide);
    // What only leaves over an exit holds nobody up.
    const isOnlyExit = m.laneLink[lane] === Link.exit && atEnd.length === 0;
    const mayDivide = this.isClosed[lane] === 0 && !isOnlyExit && m.laneLink[lane] !== Link.nothing;
    const isFree = mayDivide && m.laneLength[lane] >= divide + speed && m.laneHeld[lane] >= divide + speed;
    if (isFree) this.divide[lane] = divide + speed;
    else this.tie(lane, this.lanes + lane);
    for (const inserter of inserters) {
      const side = inserter.from < divide || !isFree ? lane : this.lanes + lane;
      const from = inserter.node - this.lanes;
      if (from >= 0 && from < this.lanes && m.laneLink[from] === Link.tee) this.enters[from] = side;
      if (from >= 0 && from < this.lanes && this.isClosed[from] === 1) continue;
      this.tie(side, inserter.node);
    }
  }

  /** Pairs of what feeds and what is fed. */
  feeds(): readonly (readonly [number, number])[] {
    return [...this.strand.lanes].flatMap((lane) => {
      const [from, to] = [this.begins(lane), this.ends(lane)];
      return from === to ? [] : [[from, to] as const];
    });
  }

  /** Ties what feeds itself by a way round; whether there was any. */
  private tieRound(): boolean {
    const feeds = this.feeds();
    const round = feeds.find(([from, to]) => upstreamOf(from, feeds).has(to));
    if (round !== undefined) this.tie(...round);
    return round !== undefined;
  }
}

/** A lane of which the foremost item waits at a tee merge that has let nothing in. */
const isClosed = (m: Machine, lane: number): boolean =>
  m.laneLink[lane] === Link.tee && m.laneTeed[lane] === 0 && m.laneCount[lane] > 0 && itemAt(m, lane, 0) === m.laneLength[lane];

function upstreamOf(node: number, feeds: readonly (readonly [number, number])[]): ReadonlySet<number> {
  const found = new Set([node]);
  const open = [node];
  for (let at = open.pop(); at !== undefined; at = open.pop()) {
    for (const [from, to] of feeds) {
      if (to !== at || found.has(from)) continue;
      found.add(from);
      open.push(from);
    }
  }
  return found;
}

/**
 * Parts of a strand as it stands, by what `laneHeld` and `laneTeed` have noted lately; undefined where some part would
 * have all arms, for then it would not repeat any sooner.
 */
export function partsOf(m: Machine, strand: Strand): readonly StrandPart[] | undefined {
  const coupling = new Coupling(m, strand);
  const feeds = coupling.feeds();
  const sinks = [...new Set([...strand.lanes].map((lane) => coupling.ends(lane)))].filter((node) => feeds.every(([from]) => from !== node));
  // Ends with the same arms behind them repeat together.
  const byArms = new Map<string, Set<number>>();
  for (const sink of sinks) {
    const nodes = upstreamOf(sink, feeds);
    const arms = [...strand.arms].filter((arm) => nodes.has(coupling.arm(arm)));
    if (arms.length === strand.arms.length) return undefined;
    byArms.set(arms.join(), new Set([...(byArms.get(arms.join()) ?? []), ...nodes]));
  }
  return [...byArms.values()].map((nodes) => partOf(m, strand, coupling, nodes));
}

function partOf(m: Machine, strand: Strand, coupling: Coupling, nodes: ReadonlySet<number>): StrandPart {
  const steps: (readonly [kind: number, first: number])[] = [];
  const begins = (lane: number): boolean => nodes.has(coupling.begins(lane));
  const ends = (lane: number): boolean => nodes.has(coupling.ends(lane));
  const isOwn = new Set(strand.lanes);
  strand.opKind.forEach((kind, op) => {
    const first = strand.opFirst[op];
    if (kind === Op.cross) {
      if (nodes.has(coupling.turn(first))) {
        steps.push([kind, first]);
        return;
      }
      const input = (first >> 1) * 4 + (first & 1);
      for (const lane of [m.splitterIn[input], m.splitterIn[input + 2]]) if (isOwn.has(lane) && begins(lane)) steps.push([Op.drain, lane]);
    } else if (coupling.isClosed[first] === 1) {
      if (nodes.has(coupling.entered(first))) steps.push([Op.guard, first]);
      if (ends(first)) steps.push([Op.stop, first]);
    } else if (ends(first)) steps.push([kind, first]);
    else if (begins(first)) steps.push([Op.drain, first]);
  });
  const lanes = strand.lanes.filter((lane) => begins(lane));
  const isExit = (exitLane: number): boolean => lanes.some((lane) => m.laneLink[lane] === Link.exit && m.laneTo[lane] === exitLane && ends(lane));
  return {
    strand: {
      opKind: Int32Array.from(steps, ([kind]) => kind),
      opFirst: Int32Array.from(steps, ([, first]) => first),
      opSecond: new Int32Array(steps.length).fill(-1),
      lanes,
      turns: strand.turns.filter((turn) => nodes.has(coupling.turn(turn))),
      exitLanes: strand.exitLanes.filter(isExit),
      meters: strand.meters,
      entries: strand.entries,
      arms: strand.arms.filter((arm) => nodes.has(coupling.arm(arm))),
    },
    free: [...lanes].filter((lane) => coupling.begins(lane) !== coupling.ends(lane) && ends(lane)).map((lane) => ({ lane, held: coupling.divide[lane] })),
  };
}
