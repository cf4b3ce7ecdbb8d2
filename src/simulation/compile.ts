/**
 * From a layout to machines: splits it into pieces that never influence each other, and writes each piece
 * as flat arrays (`machine.ts`). What goes into which array is in `lane-table.ts`, `step-table.ts` and `arm-table.ts`;
 * which tiles are one lane, and what moves when, in `tracks.ts` and `moves.ts`.
 */
import type { Layout, PlacedArm } from '../layout/layout.js';
import { deriveNetwork, type ArmLink, type Network } from '../layout/network.js';
import { armPart } from './arm-spots.js';
import { armTable } from './arm-table.js';
import { entryTable, exitTable, laneTable, type Stretch } from './lane-table.js';
import { resetMachine, WATCH_NONE, type Machine } from './machine.js';
import { planPiece } from './moves.js';
import { splitterTable, wholeStrand } from './step-table.js';

/** An arm that takes from a container and puts into one: its rhythm needs no simulation. */
export interface FreeArm {
  /** Index into the network's arms. */
  readonly arm: number;
  readonly cycleTicks: number;
  readonly payload: number;
}

export interface Piece {
  readonly machine: Machine;
  /** The network's arms and the layout's exits and entries that the machine's ones stand for. */
  readonly arms: readonly number[];
  readonly exits: readonly number[];
  readonly entries: readonly number[];
  /** From the tail of each machine lane to its head. */
  readonly stretches: readonly Stretch[];
}

export interface Program {
  readonly layout: Layout;
  readonly network: Network;
  readonly pieces: readonly Piece[];
  readonly freeArms: readonly FreeArm[];
  /** Indices into the network's arms: those with nothing to pick from or to place on never act. */
  readonly idleArms: readonly number[];
}

export interface CompileOptions {
  /** Whether tiles may become one lane where that makes no difference; off only to test that it makes none. */
  readonly mergeTiles: boolean;
}

/** Ticks from one pick at a container to the next of an arm that also places into one. */
export const containerCycle = (arm: PlacedArm): number => arm.model.grabTicks + 2 * arm.model.swingTicks + 1;

const isIdle = (link: ArmLink): boolean => link.pick.kind === 'nothing' || link.place.kind === 'nothing';

/** Sets of carriers that pass items to each other, share a splitter, or share an arm. */
function groupCarriers(network: Network): readonly (readonly number[])[] {
  const { carriers, arms } = network;
  const leader = carriers.map((_, index) => index);
  const find = (index: number): number => {
    let at = index;
    while (leader[at] !== at) at = leader[at] = leader[leader[at]];
    return at;
  };
  const join = (a: number, b: number): void => {
    const [low, high] = [find(a), find(b)].sort((x, y) => x - y);
    leader[high] = low;
  };
  carriers.forEach((carrier, index) => {
    if (carrier.next.kind === 'carrier') join(index, carrier.next.carrier);
    if (index > 0 && carriers[index - 1].part === carrier.part) join(index, index - 1);
  });
  for (const arm of arms) {
    if (arm.pick.kind === 'carrier' && arm.place.kind === 'carrier') join(arm.pick.carrier, arm.place.carrier);
  }
  const groups = new Map<number, number[]>();
  carriers.forEach((_, index) => {
    const lead = find(index);
    const group = groups.get(lead);
    if (group === undefined) groups.set(lead, [index]);
    else group.push(index);
  });
  return [...groups.values()];
}

function compilePiece(layout: Layout, network: Network, members: readonly number[], arms: readonly number[], { mergeTiles }: CompileOptions): Piece {
  const piece = planPiece(layout, network, members, arms, mergeTiles);
  const table = laneTable(piece);
  const { lanes } = table;
  const exits = exitTable(piece, table);
  const early = piece.opensRing ? lanes.position.length : 0;
  const machine: Machine = {
    pitch: layout.catalog.pitch,
    opensRing: piece.opensRing,
    ...lanes,
    whole: wholeStrand(piece, lanes, exits.exitPrice),
    ...splitterTable(piece),
    ...exits,
    ...entryTable(piece, table),
    ...armTable(piece),
    laneMoved: new Uint8Array(piece.opensRing ? lanes.laneLength.length : 0),
    earlyLane: new Int32Array(early),
    earlyPosition: new Int32Array(early),
    earlyCount: 0,
    opened: false,
    now: 0,
    watch: WATCH_NONE,
  };
  resetMachine(machine);
  return { machine, arms, exits: table.exits, entries: piece.entries.map(({ entry }) => entry), stretches: table.stretches };
}

/** The whole layout as one piece, arms between containers included: containers that run dry or fill join what else never meets. */
export function compileWhole(layout: Layout, options: CompileOptions = { mergeTiles: true }): { readonly network: Network; readonly piece: Piece } {
  const network = deriveNetwork(layout);
  const arms = network.arms.flatMap((link, arm) => (isIdle(link) ? [] : [arm]));
  const members = network.carriers.map(({ index }) => index);
  return { network, piece: compilePiece(layout, network, members, arms, options) };
}

export const compileLayout = (layout: Layout, options?: CompileOptions): Program => compileNetwork(layout, deriveNetwork(layout), options);

/** The same of a layout whose network is known. */
export function compileNetwork(layout: Layout, network: Network, options: CompileOptions = { mergeTiles: true }): Program {
  const idleArms: number[] = [];
  const freeArms: FreeArm[] = [];
  const armsOfCarrier = new Map<number, number[]>();
  network.arms.forEach((link, arm) => {
    if (isIdle(link)) {
      idleArms.push(arm);
      return;
    }
    const carrier =
      link.pick.kind === 'carrier' ? link.pick.carrier : link.place.kind === 'carrier' ? link.place.carrier : undefined;
    if (carrier === undefined) {
      const placed = armPart(layout, link);
      freeArms.push({ arm, cycleTicks: containerCycle(placed), payload: placed.model.payload });
      return;
    }
    const known = armsOfCarrier.get(carrier);
    if (known === undefined) armsOfCarrier.set(carrier, [arm]);
    else known.push(arm);
  });
  const pieces = groupCarriers(network).map((members) => {
    const arms = members.flatMap((member) => armsOfCarrier.get(member) ?? []).sort((a, b) => a - b);
    return compilePiece(layout, network, members, arms, options);
  });
  return { layout, network, pieces, freeArms, idleArms };
}
