/**
 * What is legal in a layout but surely not meant, as warnings. Neighbours, turns and arm ends come from `network.ts`.
 */
import { backOf, compareTiles, stepFrom, type Tile } from '../base/geometry.js';
import type { Finding } from '../base/finding.js';
import { compare, ZERO, type Rational } from '../base/rational.js';
import { ownPointers, tileKey, type LayoutPointers } from './check-layout.js';
import { entriesOf, tilesOf, type Layout, type Part } from './layout.js';
import { deriveNetwork, type Carrier, type Network } from './network.js';
import { rings } from './rings.js';
import { spotted } from './spotting.js';

export type IntentCode =
  | 'arm-picks-nothing'
  | 'arm-places-nothing'
  | 'exit-unreached'
  | 'exit-takes-nothing'
  | 'entry-unmet'
  | 'entry-gives-nothing'
  | 'belt-ring'
  | 'belt-unfed'
  | 'belt-unfed-unturns'
  | 'belt-faces-part'
  | 'belt-dead-end'
  | 'chest-unfilled'
  | 'chest-unemptied';

type Warn = (code: IntentCode, pointer: string, tile: Tile, values?: Finding['values']) => void;

interface Checked {
  readonly layout: Layout;
  readonly network: Network;
  readonly pointers: LayoutPointers;
  /** Carriers by their part: both halves of a splitter, else the one carrier alone. */
  readonly byPart: ReadonlyMap<number, readonly Carrier[]>;
  /** Carriers to which each one's items may pass; those of a splitter's half may leave by the other. */
  readonly after: readonly (readonly number[])[];
  /** Carriers onto which an arm places or an entry leads. */
  readonly loaded: ReadonlySet<number>;
}

function carriersByPart(network: Network): ReadonlyMap<number, readonly Carrier[]> {
  const byPart = new Map<number, Carrier[]>();
  for (const carrier of network.carriers) {
    const known = byPart.get(carrier.part);
    if (known === undefined) byPart.set(carrier.part, [carrier]);
    else known.push(carrier);
  }
  return byPart;
}

/** All that `starts` leads to, themselves among it. */
function reachable(starts: Iterable<number>, after: readonly (readonly number[])[]): ReadonlySet<number> {
  const seen = new Set(starts);
  for (const carrier of seen) for (const next of after[carrier]) seen.add(next);
  return seen;
}

/** Those that reach something at both ends. */
const workingArms = ({ arms }: Network): Network['arms'] => arms.filter(({ pick, place }) => pick.kind !== 'nothing' && place.kind !== 'nothing');

/** With what each arm reaches, be it only where the wagons stop short or far. */
function networkAnywhere(layout: Layout, spotting: number): Network {
  const [planned, ...others] = spotted(layout, spotting).map(deriveNetwork);
  const arms = planned.arms.map((arm, index) => {
    const all = [arm, ...others.map((network) => network.arms[index])];
    return { ...arm, pick: all.find(({ pick }) => pick.kind !== 'nothing')?.pick ?? arm.pick, place: all.find(({ place }) => place.kind !== 'nothing')?.place ?? arm.place };
  });
  return { ...planned, arms };
}

function prepared(layout: Layout, pointers: LayoutPointers, spotting: number): Checked {
  const network = networkAnywhere(layout, spotting);
  const byPart = carriersByPart(network);
  const after = network.carriers.map(({ part }) => (byPart.get(part) ?? []).flatMap(({ next }) => (next.kind === 'carrier' ? [next.carrier] : [])));
  const loaded = new Set([
    ...workingArms(network).flatMap(({ place }) => (place.kind === 'carrier' ? [place.carrier] : [])),
    ...network.carriers.flatMap(({ index, entry }) => (entry === undefined ? [] : [index])),
  ]);
  return { layout, network, pointers, byPart, after, loaded };
}

function checkArms({ layout, network, pointers }: Checked, warn: Warn): void {
  for (const { part, pick, place } of network.arms) {
    const arm = layout.parts[part];
    if (arm.kind !== 'arm') continue;
    const { at, heading, model } = arm;
    if (pick.kind === 'nothing') warn('arm-picks-nothing', pointers.parts[part], at, { reach: model.reach, side: backOf(heading) });
    if (place.kind === 'nothing') warn('arm-places-nothing', pointers.parts[part], at, { reach: model.reach, side: heading });
  }
}

function checkChests({ layout, network, pointers }: Checked, warn: Warn): void {
  const arms = workingArms(network);
  layout.parts.forEach((part, index) => {
    if (part.kind !== 'chest') return;
    if (!arms.some(({ place }) => place.kind === 'chest' && place.part === index)) warn('chest-unfilled', pointers.parts[index], part.at);
    if (!arms.some(({ pick }) => pick.kind === 'chest' && pick.part === index)) warn('chest-unemptied', pointers.parts[index], part.at);
  });
}

/** The belt before a carrier that would be a turn without it, if there is one: a station may rest on that. */
function unturnedBy({ index, next }: Carrier, { carriers }: Network): Carrier | undefined {
  if (next.kind !== 'carrier') return undefined;
  const belt = carriers[next.carrier];
  if (belt.entry !== undefined) return undefined;
  const { behind, fromLeft, fromRight } = belt;
  const others = [behind, fromLeft, fromRight].filter((feeder) => feeder !== undefined && feeder !== index);
  return others.length === 1 && others[0] !== behind ? belt : undefined;
}

function checkBelts({ layout, network, pointers, byPart, loaded }: Checked, warn: Warn): void {
  const standing = new Map<string, Part>(layout.parts.flatMap((part) => tilesOf(part).map((tile) => [tileKey(tile), part] as const)));
  const pickedFrom = new Set(workingArms(network).flatMap(({ pick }) => (pick.kind === 'carrier' ? [pick.carrier] : [])));
  for (const [part, group] of byPart) {
    const pointer = pointers.parts[part];
    const [carrier] = group;
    const { kind } = layout.parts[part];
    const isFed = group.some(({ index, behind, fromLeft, fromRight }) => loaded.has(index) || behind !== undefined || fromLeft !== undefined || fromRight !== undefined);
    if (!isFed) {
      const unturned = group.map((each) => unturnedBy(each, network)).find((each) => each !== undefined);
      if (unturned === undefined) warn('belt-unfed', pointer, carrier.tail, { kind });
      else warn('belt-unfed-unturns', pointer, carrier.tail, { kind, x: unturned.tail.x, y: unturned.tail.y });
    }
    // A splitter with one closed half is a plain way to fill the other; arms may empty a belt's end.
    if (group.some(({ index, next }) => next.kind !== 'nothing' || pickedFrom.has(index))) continue;
    const faced = standing.get(tileKey(stepFrom(carrier.head, carrier.heading)));
    if (faced === undefined) warn('belt-dead-end', pointer, carrier.head, { kind, heading: carrier.heading });
    else warn('belt-faces-part', pointer, carrier.head, { kind, heading: carrier.heading, other: faced.kind });
  }
}

function checkRings({ network, pointers, after }: Checked, warn: Warn): void {
  const inOrder = rings(after)
    .map((ring) => ring.map((index) => network.carriers[index]).sort((a, b) => compareTiles(a.head, b.head)))
    .sort(([a], [b]) => compareTiles(a.head, b.head));
  for (const ring of inOrder) warn('belt-ring', pointers.parts[ring[0].part], ring[0].head, { tiles: ring.length });
}

const isNothing = (rate: Rational | undefined): boolean => rate !== undefined && compare(rate, ZERO) === 0;

function checkEdges({ layout, network, pointers, byPart, after, loaded }: Checked, warn: Warn): void {
  const { carriers } = network;
  entriesOf(layout).forEach(({ at, heading, give }, index) => {
    const pointer = pointers.entries?.[index] ?? '';
    if (!carriers.some(({ entry }) => entry === index)) warn('entry-unmet', pointer, at, { edge: backOf(heading), heading });
    if (isNothing(give)) warn('entry-gives-nothing', pointer, at, { edge: backOf(heading) });
  });
  const reached = reachable(loaded, after);
  layout.exits.forEach(({ at, heading, take }, exit) => {
    const isReached = carriers.some(({ next, part }) => next.kind === 'exit' && next.exit === exit && (byPart.get(part) ?? []).some(({ index }) => reached.has(index)));
    if (!isReached) warn('exit-unreached', pointers.exits[exit], at, { heading });
    if (isNothing(take)) warn('exit-takes-nothing', pointers.exits[exit], at, { heading });
  });
}

/** Of a legal layout whose wagons may stop so many tiles short or far. */
export function checkIntent(layout: Layout, pointers: LayoutPointers = ownPointers(layout), spotting = 0): readonly Finding<IntentCode>[] {
  const findings: Finding<IntentCode>[] = [];
  const warn: Warn = (code, pointer, tile, values = {}) => {
    findings.push({ severity: 'warning', code, pointer, tile, values });
  };
  const checked = prepared(layout, pointers, spotting);
  for (const check of [checkArms, checkChests, checkBelts, checkRings, checkEdges]) check(checked, warn);
  return findings;
}
