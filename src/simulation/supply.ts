/**
 * Whether chests keep up: the steady outflow that arms draw against what arms bring from wagons.
 * This is arithmetic on flows (world rules, section 9); the flows come from the steady states.
 */
import { fillsUp, runsDry } from '../base/chest-rates.js';
import { invariant } from '../base/invariant.js';
import { ratio, ZERO, type Rational } from '../base/rational.js';
import { containerCycle, type Program } from './compile.js';
import type { Settled } from './steady-state.js';

export interface ChestFlow {
  /** Index into the layout's parts. */
  readonly part: number;
  /** Items per tick that arms take out; of a chest that loads, without what arms carry into wagons. */
  readonly outflow: Rational;
  /** Items per tick that arms could bring from wagons that always stand there. */
  readonly supply: Rational;
  /** Of a chest that arms fill from carriers and empty into wagons. */
  readonly loads: ChestLoads | undefined;
  readonly keepsUp: boolean;
}

interface ChestLoads {
  /** Items per tick that arms bring from carriers. */
  readonly inflow: Rational;
  /** Items per tick that arms could carry into wagons that always stand there. */
  readonly carryOff: Rational;
}

/** Items per tick that arms between containers take; 0 of the others. */
export function freeFlows(program: Program): Rational[] {
  const flows = program.network.arms.map(() => ZERO);
  for (const { arm, payload, cycleTicks } of program.freeArms) flows[arm] = ratio(payload, cycleTicks);
  return flows;
}

/** Items per tick that each of the network's arms takes. */
export function armFlows(program: Program, settled: readonly Settled[]): readonly Rational[] {
  const flows = freeFlows(program);
  program.pieces.forEach((piece, index) => {
    const { orbit } = settled[index];
    piece.arms.forEach((arm, local) => {
      flows[arm] = ratio(orbit.armTaken[local], orbit.periodTicks);
    });
  });
  return flows;
}

/** Rate of an arm between containers that it never waits for. */
function freeRate(program: Program, arm: number): Rational {
  const { part } = program.network.arms[arm];
  const placed = program.layout.parts[part];
  invariant(placed.kind === 'arm', 'an arm link names an arm', { part });
  return ratio(placed.model.payload, containerCycle(placed));
}

/** Every chest of the layout, in the order of its parts. */
export const chestFlows = (program: Program, settled: readonly Settled[], presence: Rational): readonly ChestFlow[] =>
  chestsOf(program, armFlows(program, settled), presence);

/** As `chestFlows`, of arms that take as much as said. A chest that does not keep up does not if some of them take more. */
export function chestsOf(program: Program, flows: readonly Rational[], presence: Rational): readonly ChestFlow[] {
  const { layout, network } = program;
  const chests = layout.parts.flatMap((part, index) => (part.kind === 'chest' ? [index] : []));
  return chests.map((part): ChestFlow => {
    let [all, intoWagons, supply, inflow, carryOff] = [ZERO, ZERO, ZERO, ZERO, ZERO];
    let [isFilled, isEmptied] = [false, false];
    network.arms.forEach(({ pick, place }, arm) => {
      if (pick.kind === 'chest' && pick.part === part) {
        all = all.add(flows[arm]);
        if (place.kind === 'wagon') {
          isEmptied = true;
          intoWagons = intoWagons.add(flows[arm]);
          carryOff = carryOff.add(freeRate(program, arm));
        }
      }
      if (place.kind !== 'chest' || place.part !== part) return;
      if (pick.kind === 'wagon') supply = supply.add(freeRate(program, arm));
      if (pick.kind === 'carrier') {
        isFilled = true;
        inflow = inflow.add(flows[arm]);
      }
    });
    const loads = isFilled && isEmptied ? { inflow, carryOff } : undefined;
    const outflow = loads === undefined ? all : all.sub(intoWagons);
    const rates = { outflow, supply, loads };
    return { part, ...rates, keepsUp: !runsDry(rates, presence) && !fillsUp(rates, presence) };
  });
}

/** What goes through a chest: into it where it loads, else out of it. Chests are even if these are equal. */
export const throughChest = ({ outflow, loads }: { readonly outflow: Rational; readonly loads?: ChestLoads | undefined }): Rational => loads?.inflow ?? outflow;
