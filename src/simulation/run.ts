/**
 * A run that can be watched tick by tick: where every item is and what every arm does. For pictures and
 * for checks of conservation; flows are found in `trial.ts` and `verify.ts`.
 */
import { stepFrom, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import type { Layout, Side } from '../layout/layout.js';
import type { Network } from '../layout/network.js';
import { compileLayout, type CompileOptions, type FreeArm, type Program } from './compile.js';
import { itemsTaken, readCounts } from './counts.js';
import { itemAt } from './lanes.js';
import { Phase, resetMachine, WATCH_NONE, type Machine } from './machine.js';
import { stepMachine } from './tick.js';
import type { Counts } from './trial-result.js';

export interface ItemPlace {
  /** Index into the network's carriers. */
  readonly carrier: number;
  readonly tile: Tile;
  readonly lane: Side;
  /** Units from the carrier's tail, of `length` in all. */
  readonly position: number;
  readonly length: number;
}

type ArmPhase = 'picking' | 'swinging-out' | 'placing' | 'swinging-back' | 'idle';

export interface ArmState {
  readonly tile: Tile;
  readonly phase: ArmPhase;
  /** Items in the hand. */
  readonly held: number;
  /** Of a swing: ticks still to go after the last one; else 0. */
  readonly ticksToGo: number;
  /** Items taken and placed since the start. */
  readonly taken: number;
  readonly placed: number;
}

export interface Run {
  readonly layout: Layout;
  readonly network: Network;
  /** The machines behind it, for those who read more of them than is handed out here. */
  readonly program: Program;
  /** Ticks that have passed. */
  readonly tick: number;
  step(): void;
  /** Every item on a carrier. */
  items(): readonly ItemPlace[];
  /** In the order in which arms act, (y, x). */
  arms(): readonly ArmState[];
  counts(): Counts;
}

interface RunOptions extends Partial<CompileOptions> {
  /** Ticks by which each of the network's arms is held back; left out: the standard start. */
  readonly delays?: readonly number[];
}

/** Every item on the carriers of some pieces of a layout. */
export function itemPlaces(program: Pick<Program, 'layout' | 'network' | 'pieces'>): readonly ItemPlace[] {
  const { unitsPerTile } = program.layout.catalog;
  const items: ItemPlace[] = [];
  for (const { machine: m, stretches } of program.pieces) {
    for (const { carrier: index, lane: firstLane, laneFrom, carrierFrom, length } of stretches) {
      const carrier = program.network.carriers[index];
      for (let side = 0; side < 2; side++) {
        const lane = firstLane + side;
        const from = laneFrom[side];
        for (let i = 0; i < m.laneCount[lane]; i++) {
          const along = itemAt(m, lane, i) - from;
          // A border between two tiles belongs to the one behind; a lane's own tail to its first tile.
          if (along > length[side] || (along <= 0 && !(from === 0 && along === 0))) continue;
          const position = carrierFrom + along;
          const tilesIn = carrier.kind === 'underpass' ? Math.max(0, Math.ceil(position / unitsPerTile) - 1) : 0;
          items.push({
            carrier: index,
            tile: stepFrom(carrier.tail, carrier.heading, tilesIn),
            lane: side === 0 ? 'left' : 'right',
            position,
            length: side === 0 ? carrier.leftLength : carrier.rightLength,
          });
        }
      }
    }
  }
  return items;
}

type Moment = Pick<ArmState, 'phase' | 'held' | 'ticksToGo'>;

function machineArm(m: Machine, arm: number): Moment {
  const held = m.armHand[arm];
  const ticksToGo = Math.max(0, m.armDue[arm] - m.now);
  const swings = ticksToGo > 0;
  if (m.armPhase[arm] === Phase.place) {
    return swings ? outward(m.armSwing[arm], held, ticksToGo) : { phase: 'placing', held, ticksToGo: 0 };
  }
  if (m.armPhase[arm] === Phase.release) return { phase: 'placing', held, ticksToGo: 0 };
  if (!swings || held > 0) return { phase: 'picking', held, ticksToGo: 0 };
  return { phase: 'swinging-back', held, ticksToGo };
}

/** After a pick at a container the hand grabs before it swings. */
function outward(swing: number, held: number, ticksToGo: number): Moment {
  return ticksToGo > swing
    ? { phase: 'picking', held, ticksToGo: 0 }
    : { phase: 'swinging-out', held, ticksToGo };
}

function freeArmState(program: Program, free: FreeArm, tick: number): Moment & { readonly placed: number } {
  const part = program.layout.parts[program.network.arms[free.arm].part];
  invariant(part.kind === 'arm', 'an arm link names an arm', {});
  const { grabTicks, swingTicks } = part.model;
  if (tick < 0) return { phase: 'picking', held: 0, ticksToGo: 0, placed: 0 };
  const phase = tick % free.cycleTicks;
  const cycles = Math.floor(tick / free.cycleTicks);
  const placesAt = grabTicks + swingTicks;
  const hasPlaced = phase > placesAt;
  const placed = (cycles + (hasPlaced ? 1 : 0)) * free.payload;
  if (phase === 0) return { phase: 'picking', held: 0, ticksToGo: 0, placed };
  if (hasPlaced) return { phase: 'swinging-back', held: 0, ticksToGo: free.cycleTicks - phase, placed };
  if (phase === placesAt) return { phase: 'placing', held: free.payload, ticksToGo: 0, placed };
  return { ...outward(swingTicks, free.payload, placesAt - phase), placed };
}

function armStates(program: Program, tick: number, delays: readonly number[] | undefined): readonly ArmState[] {
  const taken = itemsTaken(program, tick, delays);
  const states: (Moment & { readonly placed: number })[] = program.network.arms.map(() => ({
    phase: 'idle',
    held: 0,
    ticksToGo: 0,
    placed: 0,
  }));
  for (const free of program.freeArms) {
    states[free.arm] = freeArmState(program, free, tick - (delays?.[free.arm] ?? 0));
  }
  for (const { arms, machine } of program.pieces) {
    arms.forEach((arm, local) => {
      states[arm] = { ...machineArm(machine, local), placed: machine.armPlaced[local] };
    });
  }
  return program.network.arms.map(({ part }, arm) => {
    const placed = program.layout.parts[part];
    invariant(placed.kind === 'arm', 'an arm link names an arm', { part });
    return { tile: placed.at, taken: taken[arm], ...states[arm] };
  });
}

/** A run from the standard start, or from one in which each arm is held back. */
export function createRun(layout: Layout, options: RunOptions = {}): Run {
  const { delays } = options;
  const program = compileLayout(layout, { mergeTiles: options.mergeTiles ?? true });
  for (const { machine, arms } of program.pieces) {
    resetMachine(machine, delays === undefined ? undefined : arms.map((arm) => delays[arm]));
    machine.watch = WATCH_NONE;
  }
  let tick = 0;
  return {
    layout,
    network: program.network,
    program,
    get tick() {
      return tick;
    },
    step() {
      for (const { machine } of program.pieces) stepMachine(machine);
      tick++;
    },
    items: () => itemPlaces(program),
    arms: () => armStates(program, tick, delays),
    counts: () => readCounts(program, tick, delays),
  };
}
