/**
 * The connected networks of a layout under construction: carriers that pass to one another, the arms that
 * place on them and the exits to which they lead. In a steady run networks do not influence each other, so
 * each can be judged by itself.
 */
import type { CarrierView } from '../carriers/carrier-network.js';
import { DEAD, exitOf } from '../carriers/carrier-network.js';
import type { Crew, CrewArm } from '../site/crew.js';

export interface NetworkPart {
  /** Carriers of the view, in rising order. */
  readonly carriers: readonly number[];
  /** Those that load it, in the order in which arms act. */
  readonly arms: readonly CrewArm[];
  /** Exits of the brief to which it leads, in rising order. */
  readonly exits: readonly number[];
}

/** In the order of their first carriers. */
export function networksOf(view: CarrierView, crew: Crew): readonly NetworkPart[] {
  const { count, next, mate } = view;
  const parent = Array.from({ length: count }, (_, c) => c);
  const rootOf = (c: number): number => {
    let root = c;
    while (parent[root] !== root) root = parent[root];
    parent[c] = root;
    return root;
  };
  const join = (a: number, b: number): void => {
    const [ra, rb] = [rootOf(a), rootOf(b)];
    parent[Math.max(ra, rb)] = Math.min(ra, rb);
  };
  const carrierAt = new Map<number, number>();
  for (let c = 0; c < count; c++) {
    if (next[c] >= 0) join(c, next[c]);
    if (mate[c] >= 0) join(c, mate[c]);
    carrierAt.set(view.tail[c], c);
    carrierAt.set(view.head[c], c);
  }
  const parts = new Map<number, { carriers: number[]; arms: CrewArm[]; exits: number[] }>();
  for (let c = 0; c < count; c++) {
    const root = rootOf(c);
    const part = parts.get(root) ?? { carriers: [], arms: [], exits: [] };
    parts.set(root, part);
    part.carriers.push(c);
    if (next[c] < DEAD) part.exits.push(exitOf(next[c]));
  }
  for (const arm of crew.arms) {
    const carrier = arm.role === 'load' ? carrierAt.get(arm.target) : undefined;
    if (carrier !== undefined) parts.get(rootOf(carrier))?.arms.push(arm);
  }
  return [...parts.values()].map((part) => ({ ...part, exits: part.exits.sort((a, b) => a - b) }));
}

/** One network alone, its arms and their chests. */
export function cutOut(view: CarrierView, crew: Crew, { carriers, arms }: NetworkPart): { readonly view: CarrierView; readonly crew: Crew } {
  const renumbered = new Map(carriers.map((c, index) => [c, index]));
  const linked = (code: number): number => renumbered.get(code) ?? code;
  const drawnFrom = new Set(arms.map(({ chest }) => chest));
  const kept = crew.chests.map((_, chest) => chest).filter((chest) => drawnFrom.has(chest));
  return {
    view: {
      count: carriers.length,
      kind: Int8Array.from(carriers, (c) => view.kind[c]),
      heading: Int8Array.from(carriers, (c) => view.heading[c]),
      model: Int16Array.from(carriers, (c) => view.model[c]),
      tail: Int32Array.from(carriers, (c) => view.tail[c]),
      head: Int32Array.from(carriers, (c) => view.head[c]),
      mate: Int16Array.from(carriers, (c) => (view.mate[c] < 0 ? -1 : linked(view.mate[c]))),
      next: Int16Array.from(carriers, (c) => (view.next[c] < 0 ? view.next[c] : linked(view.next[c]))),
      speed: Int32Array.from(carriers, (c) => view.speed[c]),
    },
    crew: {
      chests: kept.map((chest) => crew.chests[chest]),
      arms: arms.map((arm) => ({ ...arm, chest: kept.indexOf(arm.chest) })),
    },
  };
}
