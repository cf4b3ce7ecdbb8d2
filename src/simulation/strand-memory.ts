/**
 * What strands come to, remembered by their texts: networks that a search tries one after the other have most of their
 * strands in common. What a text holds is in `strand-texts.ts`, how a strand ends in `steady-state.ts`.
 */
import type { Layout } from '../layout/layout.js';
import type { Network } from '../layout/network.js';
import { strandTexts, type StrandText } from './strand-texts.js';

/** Counts in the period of a strand that has repeated. */
export interface StrandFlows {
  readonly periodTicks: number;
  /** Exits x 2 + side, of the layout. */
  readonly exitCount: ReadonlyMap<number, number>;
  /** Items taken, by the network's arms. */
  readonly armTaken: ReadonlyMap<number, number>;
}

/** The same in the order of a strand's text. */
interface Kept {
  readonly periodTicks: number;
  readonly exitCount: readonly number[];
  readonly armTaken: readonly number[];
}

const MOST_STRANDS = 40_000;

/** Of layouts simulated with one limit of ticks. */
export class StrandMemory {
  private readonly kept = new Map<string, Kept>();

  /** The strands of a layout, as far as they can be told by texts. */
  strandsOf(layout: Layout, network: Network): KnownStrands {
    return new KnownStrands(strandTexts(layout, network), this.kept);
  }
}

export class KnownStrands {
  private readonly byArms: ReadonlyMap<string, StrandText>;

  constructor(
    private readonly texts: readonly StrandText[],
    private readonly kept: Map<string, Kept>,
  ) {
    this.byArms = new Map(texts.map((told) => [nameOf(told.arms), told]));
  }

  /** Whether all strands of the layout are among them, so that nothing leaves over any other exit lane. */
  get areAll(): boolean {
    return this.texts.length > 0;
  }

  /** Of all strands, in any order: which exit lanes they lead to, and what they come to where that is known. */
  flowsOfAll(delays: readonly number[]): readonly { readonly exitLanes: readonly number[]; readonly flows: StrandFlows | undefined }[] {
    return this.texts.map((told) => ({ exitLanes: told.exitLanes, flows: this.flowsOf(told, delays) }));
  }

  /** Of the strand with these arms of the network, all of which are held back by `delays`. */
  flows(arms: readonly number[], delays: readonly number[]): StrandFlows | undefined {
    const told = this.byArms.get(nameOf(arms));
    return told && this.flowsOf(told, delays);
  }

  private flowsOf(told: StrandText, delays: readonly number[]): StrandFlows | undefined {
    const kept = this.kept.get(keyOf(told, delays));
    if (kept === undefined) return undefined;
    return {
      periodTicks: kept.periodTicks,
      exitCount: new Map(told.exitLanes.map((exitLane, n) => [exitLane, kept.exitCount[n]])),
      armTaken: new Map(told.arms.map((arm, n) => [arm, kept.armTaken[n]])),
    };
  }

  /** Keeps what a strand came to. */
  note(flows: StrandFlows, delays: readonly number[]): void {
    const told = this.byArms.get(nameOf([...flows.armTaken.keys()]));
    if (told === undefined) return;
    if (this.kept.size >= MOST_STRANDS) this.kept.clear();
    const { periodTicks, exitCount, armTaken } = flows;
    this.kept.set(keyOf(told, delays), {
      periodTicks,
      exitCount: told.exitLanes.map((exitLane) => exitCount.get(exitLane) ?? 0),
      armTaken: told.arms.map((arm) => armTaken.get(arm) ?? 0),
    });
  }
}

/** An arm puts down on one lane, so the arms of a strand are those of no other. */
const nameOf = (arms: readonly number[]): string => [...arms].sort((a, b) => a - b).join();

/** Starts count by how arms are held back; a single one comes to the same rhythm whenever it begins. */
function keyOf({ text, arms }: StrandText, delays: readonly number[]): string {
  return arms.length === 1 || arms.every((arm) => delays[arm] === 0) ? text : `${text}@${arms.map((arm) => delays[arm]).join()}`;
}
