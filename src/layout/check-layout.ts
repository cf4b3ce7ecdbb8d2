/**
 * Legality of a layout: the world rules' own. What is legal but surely not meant is found by `check-intent.ts`.
 */
import { backOf, boxHolds, sameTile, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import type { Finding } from '../base/finding.js';
import { isOnTrack, isWithin } from '../base/ground.js';
import { pointerTo } from '../base/json-pointer.js';
import { checkGround, extentOf, type SiteCode } from '../catalog/read-site.js';
import { entriesOf, sameEntry, sameExit, tilesApart, tilesOf, underpassHeading, wagonAt, type Layout } from './layout.js';

export type LegalityCode =
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

/** Where each entry of the layout's lists stands in its document. */
export interface LayoutPointers {
  readonly wagons: readonly string[];
  readonly parts: readonly string[];
  readonly exits: readonly string[];
  /** Left out where there are no entries. */
  readonly entries?: readonly string[];
}

export const ownPointers = (layout: Layout): LayoutPointers => ({
  wagons: layout.wagons.map((_, index) => pointerTo('/wagons', index)),
  parts: layout.parts.map((_, index) => pointerTo('/parts', index)),
  exits: layout.exits.map((_, index) => pointerTo('/exits', index)),
  entries: entriesOf(layout).map((_, index) => pointerTo('/entries', index)),
});

export const tileKey = ({ x, y }: Tile): string => `${x},${y}`;

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

export const isLegal = (layout: Layout): boolean => checkLegality(layout).every(({ severity }) => severity !== 'error');
