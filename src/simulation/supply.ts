/**
 * Whether chests keep up: the steady outflow that arms draw against what arms bring from wagons.
 * This is arithmetic on flows (world rules, section 9); the flows come from the steady states.
 */
import { invariant } from '../base/invariant.js';
import { ratio, ZERO, type Rational } from '../base/rational.js';
import { containerCycle, type Program } from './compile.js';
import type { Settled } from './steady-state.js';

export interface ChestFlow {
  /** Index into the layout's parts. */
  readonly part: number;
  /** Items per tick that arms take out. */
  readonly outflow: Rational;
  /** Items per tick that arms could bring from wagons that always stand there. */
  readonly supply: Rational;
  readonly keepsUp: boolean;
}

/** Items per tick that each of the network's arms takes. */
export function armFlows(program: Program, settled: readonly Settled[]): readonly Rational[] {
  const flows = program.network.arms.map(() => ZERO);
  for (const { arm, payload, cycleTicks } of program.freeArms) flows[arm] = ratio(payload, cycleTicks);
  program.pieces.forEach((piece, index) => {
    const { orbit } = settled[index];
    piece.arms.forEach((arm, local) => {
      flows[arm] = ratio(orbit.armTaken[local], orbit.periodTicks);
    });
  });
  return flows;
}

/** Every chest of the layout, in the order of its parts. */
export function chestFlows(program: Program, settled: readonly Settled[], presence: Rational): readonly ChestFlow[] {
  const { layout, network } = program;
  const outflow = new Map<number, Rational>();
  const supply = new Map<number, Rational>();
  layout.parts.forEach((part, index) => {
    if (part.kind !== 'chest') return;
    outflow.set(index, ZERO);
    supply.set(index, ZERO);
  });
  if (outflow.size === 0) return [];
  const flows = armFlows(program, settled);
  network.arms.forEach(({ part, pick, place }, index) => {
    if (pick.kind === 'chest') outflow.set(pick.part, (outflow.get(pick.part) ?? ZERO).add(flows[index]));
    if (pick.kind === 'wagon' && place.kind === 'chest') {
      const arm = layout.parts[part];
      invariant(arm.kind === 'arm', 'an arm link names an arm', { part });
      supply.set(place.part, (supply.get(place.part) ?? ZERO).add(ratio(arm.model.payload, containerCycle(arm))));
    }
  });
  return [...outflow].map(([part, out]) => {
    const brought = supply.get(part) ?? ZERO;
    return { part, outflow: out, supply: brought, keepsUp: out.compare(presence.mul(brought)) <= 0 };
  });
}
