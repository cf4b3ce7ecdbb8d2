/**
 * Legality of a layout (errors), and what is legal but surely not meant (warnings).
 * Neighbours, turns and arm ends come from `network.ts`; the rules are the world rules' own.
 */
import { backOf, boxHolds, compareTiles, sameTile, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import type { Finding } from '../base/finding.js';
import { isOnTrack, isWithin } from '../base/ground.js';
import { pointerTo } from '../base/json-pointer.js';
import { compare, ZERO } from '../base/rational.js';
import { checkGround, extentOf, type SiteCode } from '../catalog/read-site.js';
import { entriesOf, sameEntry, sameExit, tilesApart, tilesOf, underpassHeading, wagonAt, type Layout, type Part } from './layout.js';
import { deriveNetwork, type Carrier, type Network } from './network.js';

type LegalityCode =
  | 'part-outside'
  | 'part-on-track'
  | 'part-kept-out'
  | 'parts-overlap'
  | 'underpass-not-straight'
  | 'underpass-no-length'
  | 'underpass-too-long'
  | 'underpass-crossed'
  | 'favour-not-offered'
  | 'exit-not-at-border'
  | 'exit-repeated'
  | 'exit-at-wagon'
  | 'entry-not-at-border'
  | 'entry-repeated'
  | 'entry-at-wagon'
  | 'entry-at-exit';

type IntentCode =
  | 'arm-picks-nothing'
  | 'arm-places-nothing'
  | 'exit-unreached'
  | 'exit-takes-nothing'
  | 'entry-unmet'
  | 'entry-gives-nothing'
  | 'belt-ring'
  | 'belt-unfed'
  | 'belt-faces-part'
  | 'belt-dead-end'
  | 'chest-unfilled'
  | 'chest-unemptied';

export type LayoutCode = SiteCode | LegalityCode | IntentCode;

/** Where each entry of the layout's lists stands in its document. */
interface LayoutPointers {
  readonly wagons: readonly string[];
  readonly parts: readonly string[];
  readonly exits: readonly string[];
  /** Left out where there are no entries. */
  readonly entries?: readonly string[];
}

const ownPointers = (layout: Layout): LayoutPointers => ({
  wagons: layout.wagons.map((_, index) => pointerTo('/wagons', index)),
  parts: layout.parts.map((_, index) => pointerTo('/parts', index)),
  exits: layout.exits.map((_, index) => pointerTo('/exits', index)),
  entries: entriesOf(layout).map((_, index) => pointerTo('/entries', index)),
});

const tileKey = ({ x, y }: Tile): string => `${x},${y}`;

/** Whether a belt on `tile` can pass over the site's outer edge to `beyond`, or come from there. */
const isAtBorder = ({ site }: Layout, tile: Tile, beyond: Tile): boolean => isWithin(site, tile) && !isOnTrack(site, tile) && !isWithin(site, beyond);

const isStraight = ({ from, to }: { readonly from: Tile; readonly to: Tile }): boolean =>
  from.x === to.x || from.y === to.y;

function checkTiles(layout: Layout, pointers: LayoutPointers): readonly Finding<LegalityCode>[] {
  const findings: Finding<LegalityCode>[] = [];
  const { width, depth, keepOut } = layout.site;
  const isBounded = Number.isFinite(width) && Number.isFinite(depth);
  const holders = new Map<string, number>();
  layout.parts.forEach((part, index) => {
    const pointer = pointers.parts[index];
    const report = (code: LegalityCode, tile: Tile, values: Finding['values'] = {}): void => {
      findings.push({ severity: 'error', code, pointer, tile, values: { kind: part.kind, ...values } });
    };
    for (const tile of tilesOf(part)) {
      if (isBounded && !isWithin(layout.site, tile)) report('part-outside', tile, extentOf(layout.site));
      else if (isBounded && isOnTrack(layout.site, tile)) report('part-on-track', tile);
      if (keepOut.some((box) => boxHolds(box, tile))) report('part-kept-out', tile);
      const holder = holders.get(tileKey(tile));
      if (holder === undefined) holders.set(tileKey(tile), index);
      else if (holder !== index) {
        report('parts-overlap', tile, { other: pointers.parts[holder], otherKind: layout.parts[holder].kind });
      }
    }
  });
  return findings;
}

function checkUnderpasses(layout: Layout, pointers: LayoutPointers): readonly Finding<LegalityCode>[] {
  const findings: Finding<LegalityCode>[] = [];
  /** Ends of straight underpasses by heading and line, so that each looks along its own line alone. */
  const ends = new Map<string, { readonly index: number; readonly along: number }[]>();
  const lineOf = (heading: Heading, tile: Tile): { readonly line: string; readonly along: number } =>
    heading === 'N' || heading === 'S'
      ? { line: `${heading}${tile.x}`, along: tile.y }
      : { line: `${heading}${tile.y}`, along: tile.x };
  const straight = layout.parts.flatMap((part, index) => {
    if (part.kind !== 'underpass') return [];
    const { from, to, model } = part;
    const report = (code: LegalityCode, values: Finding['values'] = {}): void => {
      findings.push({ severity: 'error', code, pointer: pointers.parts[index], tile: from, values });
    };
    if (sameTile(from, to)) {
      report('underpass-no-length');
      return [];
    }
    if (!isStraight(part)) {
      report('underpass-not-straight', { toX: to.x, toY: to.y });
      return [];
    }
    const apart = tilesApart(part);
    if (apart > model.span) report('underpass-too-long', { apart, span: model.span, name: model.name });
    for (const end of [from, to]) {
      const { line, along } = lineOf(underpassHeading(part), end);
      ends.set(line, [...(ends.get(line) ?? []), { index, along }]);
    }
    return [{ part, index, report }];
  });
  for (const { part, index, report } of straight) {
    const { line, along: start } = lineOf(underpassHeading(part), part.from);
    const { along: end } = lineOf(underpassHeading(part), part.to);
    const between = (ends.get(line) ?? []).find(
      (other) => other.index !== index && other.along > Math.min(start, end) && other.along < Math.max(start, end),
    );
    if (between !== undefined) report('underpass-crossed', { other: pointers.parts[between.index] });
  }
  return findings;
}

function checkFavours(layout: Layout, pointers: LayoutPointers): readonly Finding<LegalityCode>[] {
  return layout.parts.flatMap((part, index): readonly Finding<LegalityCode>[] => {
    if (part.kind !== 'splitter' || part.model.favour) return [];
    if (part.favourIn === undefined && part.favourOut === undefined) return [];
    const values = { name: part.model.name };
    return [{ severity: 'error', code: 'favour-not-offered', pointer: pointers.parts[index], tile: part.at, values }];
  });
}

function checkExits(layout: Layout, pointers: LayoutPointers): readonly Finding<LegalityCode>[] {
  const findings: Finding<LegalityCode>[] = [];
  layout.exits.forEach((exit, index) => {
    const { at: tile, heading } = exit;
    const report = (code: LegalityCode, values: Finding['values'] = {}): void => {
      findings.push({ severity: 'error', code, pointer: pointers.exits[index], tile, values: { heading, ...values } });
    };
    const beyond = stepFrom(tile, heading);
    if (!isAtBorder(layout, tile, beyond)) report('exit-not-at-border');
    else if (wagonAt(layout.wagons, beyond) !== undefined) report('exit-at-wagon');
    const first = layout.exits.findIndex((other) => sameExit(other, exit));
    if (first < index) report('exit-repeated', { other: pointers.exits[first] });
  });
  return findings;
}

function checkEntries(layout: Layout, pointers: LayoutPointers): readonly Finding<LegalityCode>[] {
  const findings: Finding<LegalityCode>[] = [];
  const entries = entriesOf(layout);
  entries.forEach((entry, index) => {
    const { at: tile, heading } = entry;
    const pointer = pointers.entries?.[index] ?? '';
    const report = (code: LegalityCode, values: Finding['values'] = {}): void => {
      findings.push({ severity: 'error', code, pointer, tile, values: { edge: backOf(heading), ...values } });
    };
    const beyond = stepFrom(tile, backOf(heading));
    if (!isAtBorder(layout, tile, beyond)) report('entry-not-at-border');
    else if (wagonAt(layout.wagons, beyond) !== undefined) report('entry-at-wagon');
    const first = entries.findIndex((other) => sameEntry(other, entry));
    if (first < index) report('entry-repeated', { other: pointers.entries?.[first] ?? '' });
    const exit = layout.exits.findIndex((other) => sameTile(other.at, tile) && other.heading === backOf(heading));
    if (exit >= 0) report('entry-at-exit', { other: pointers.exits[exit] });
  });
  return findings;
}

/** Errors, and warnings about the ground alone. A site of infinite width or depth stands for one that is not known. */
export function checkLegality(
  layout: Layout,
  pointers: LayoutPointers = ownPointers(layout),
): readonly Finding<SiteCode | LegalityCode>[] {
  return [
    ...checkGround(layout.site, layout.wagons, pointers.wagons),
    ...checkTiles(layout, pointers),
    ...checkUnderpasses(layout, pointers),
    ...checkFavours(layout, pointers),
    ...checkExits(layout, pointers),
    ...checkEntries(layout, pointers),
  ];
}

/** Carriers by their part: both halves of a splitter, else the one carrier alone. */
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

/** Carriers in the order in which a depth-first walk leaves them. */
function leavingOrder(after: readonly (readonly number[])[]): readonly number[] {
  const order: number[] = [];
  const entered = new Set<number>();
  after.forEach((_, start) => {
    if (entered.has(start)) return;
    entered.add(start);
    const path = [{ carrier: start, branch: 0 }];
    for (let top = path.at(-1); top !== undefined; top = path.at(-1)) {
      const branches = after[top.carrier];
      if (top.branch === branches.length) {
        order.push(top.carrier);
        path.pop();
        continue;
      }
      const next = branches[top.branch];
      top.branch += 1;
      if (entered.has(next)) continue;
      entered.add(next);
      path.push({ carrier: next, branch: 0 });
    }
  });
  return order;
}

/**
 * Groups of carriers each of which leads to itself through all the others of its group: strongly
 * connected components by two walks (Kosaraju, Sharir; Cormen et al., Introduction to Algorithms, section 22.5).
 */
function rings(after: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const before: number[][] = after.map(() => []);
  after.forEach((list, carrier) => list.forEach((next) => before[next].push(carrier)));
  const grouped = new Set<number>();
  const found: (readonly number[])[] = [];
  for (const start of leavingOrder(after).toReversed()) {
    if (grouped.has(start)) continue;
    grouped.add(start);
    const group = [start];
    for (const member of group) {
      for (const earlier of before[member]) {
        if (grouped.has(earlier)) continue;
        grouped.add(earlier);
        group.push(earlier);
      }
    }
    if (group.length > 1 || after[start].includes(start)) found.push(group);
  }
  return found;
}

/** Warnings about a legal layout. */
export function checkIntent(
  layout: Layout,
  pointers: LayoutPointers = ownPointers(layout),
): readonly Finding<IntentCode>[] {
  const findings: Finding<IntentCode>[] = [];
  const warn = (code: IntentCode, pointer: string, tile: Tile, values: Finding['values'] = {}): void => {
    findings.push({ severity: 'warning', code, pointer, tile, values });
  };
  const network = deriveNetwork(layout);
  const { carriers, arms } = network;
  const byPart = carriersByPart(network);
  const together = (carrier: Carrier): readonly Carrier[] => byPart.get(carrier.part) ?? [carrier];
  /** Carriers to which each one's items may pass; those of a splitter's half may leave by the other. */
  const after = carriers.map((carrier) =>
    together(carrier).flatMap(({ next }) => (next.kind === 'carrier' ? [next.carrier] : [])),
  );

  const standing = new Map<string, Part>();
  for (const part of layout.parts) for (const tile of tilesOf(part)) standing.set(tileKey(tile), part);
  const filled = new Set<number>();
  const emptied = new Set<number>();
  const placedOn = new Set<number>();
  const pickedFrom = new Set<number>();
  for (const { part, pick, place } of arms) {
    const arm = layout.parts[part];
    if (arm.kind !== 'arm') continue;
    if (pick.kind === 'nothing') {
      warn('arm-picks-nothing', pointers.parts[part], arm.at, { reach: arm.model.reach, side: backOf(arm.heading) });
    }
    if (place.kind === 'nothing') {
      warn('arm-places-nothing', pointers.parts[part], arm.at, { reach: arm.model.reach, side: arm.heading });
    }
    if (pick.kind === 'nothing' || place.kind === 'nothing') continue;
    if (place.kind === 'chest') filled.add(place.part);
    if (place.kind === 'carrier') placedOn.add(place.carrier);
    if (pick.kind === 'chest') emptied.add(pick.part);
    if (pick.kind === 'carrier') pickedFrom.add(pick.carrier);
  }

  layout.parts.forEach((part, index) => {
    if (part.kind !== 'chest') return;
    if (!filled.has(index)) warn('chest-unfilled', pointers.parts[index], part.at);
    if (!emptied.has(index)) warn('chest-unemptied', pointers.parts[index], part.at);
  });

  for (const { index, entry } of carriers) if (entry !== undefined) placedOn.add(index);
  const loaded = reachable(placedOn, after);
  for (const [part, group] of byPart) {
    const pointer = pointers.parts[part];
    const [carrier] = group;
    const { kind } = layout.parts[part];
    const fed = group.some(
      ({ index, behind, fromLeft, fromRight }) =>
        placedOn.has(index) || behind !== undefined || fromLeft !== undefined || fromRight !== undefined,
    );
    if (!fed) warn('belt-unfed', pointer, carrier.tail, { kind });
    // A splitter with one closed half is a plain way to fill the other; arms may empty a belt's end.
    if (group.some(({ index, next }) => next.kind !== 'nothing' || pickedFrom.has(index))) continue;
    const faced = standing.get(tileKey(stepFrom(carrier.head, carrier.heading)));
    if (faced === undefined) warn('belt-dead-end', pointer, carrier.head, { kind, heading: carrier.heading });
    else warn('belt-faces-part', pointer, carrier.head, { kind, heading: carrier.heading, other: faced.kind });
  }

  const inOrder = rings(after)
    .map((ring) => ring.map((index) => carriers[index]).sort((a, b) => compareTiles(a.head, b.head)))
    .sort(([a], [b]) => compareTiles(a.head, b.head));
  for (const ring of inOrder) {
    warn('belt-ring', pointers.parts[ring[0].part], ring[0].head, { tiles: ring.length });
  }

  entriesOf(layout).forEach(({ at, heading, give }, index) => {
    const pointer = pointers.entries?.[index] ?? '';
    if (!carriers.some(({ entry }) => entry === index)) warn('entry-unmet', pointer, at, { edge: backOf(heading), heading });
    if (give !== undefined && compare(give, ZERO) === 0) warn('entry-gives-nothing', pointer, at, { edge: backOf(heading) });
  });

  layout.exits.forEach((exit, index) => {
    const reached = carriers.some(
      (carrier) =>
        carrier.next.kind === 'exit' &&
        carrier.next.exit === index &&
        together(carrier).some(({ index: member }) => loaded.has(member)),
    );
    if (!reached) warn('exit-unreached', pointers.exits[index], exit.at, { heading: exit.heading });
    if (exit.take !== undefined && compare(exit.take, ZERO) === 0) {
      warn('exit-takes-nothing', pointers.exits[index], exit.at, { heading: exit.heading });
    }
  });
  return findings;
}

/** Errors; and where there is none, warnings too. */
export function checkLayout(
  layout: Layout,
  pointers: LayoutPointers = ownPointers(layout),
): readonly Finding<LayoutCode>[] {
  const legality = checkLegality(layout, pointers);
  if (legality.some((finding) => finding.severity === 'error')) return legality;
  return [...legality, ...checkIntent(layout, pointers)];
}
