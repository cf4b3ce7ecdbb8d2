/**
 * What can be said of the claimed plan without simulating it: its price and parts counted again, exits where the brief
 * wants them, chests where it wants them, its limits. Legality is checked where it is read, flows in `replay.ts`.
 */
import { backOf, sameTile, type Tile } from '../base/geometry.js';
import type { Brief, ExitDemand } from '../brief/brief.js';
import type { EntryDemand } from '../brief/load-job.js';
import { entriesOf, layoutCost, partCount, pickTile, placeTile, tilesOf, wagonAt, type Layout, type PlacedEntry, type PlacedExit } from '../layout/layout.js';
import { spotted } from '../layout/spotting.js';
import type { Price } from '../synthesis/site/site-map.js';
import type { FlawKind } from './audit-result.js';
import { armsOf } from './networks.js';
import type { PlacedLayout } from './read-line.js';

export const priceOf = (layout: Layout, price: Price): number => (price === 'parts' ? partCount(layout) : layoutCost(layout));

const isWhereAsked = (layout: Layout, { at, heading }: PlacedExit, demand: ExitDemand | EntryDemand): boolean => {
  const along = heading === 'N' || heading === 'S' ? at.x : at.y;
  const belt = layout.parts.find((part) => part.kind === 'belt' && sameTile(part.at, at));
  return heading === demand.edge && along >= demand.from && along <= demand.to && belt?.model.name === demand.belt.name;
};

const comesInWhereAsked = (layout: Layout, { at, heading }: PlacedEntry, demand: EntryDemand): boolean =>
  isWhereAsked(layout, { at, heading: backOf(heading), take: undefined }, demand);

/** Whether a wagon may stop there, as planned or short or far. */
const mayBeWagon = (layout: Layout, { spotting }: Brief, tile: Tile): boolean => spotted(layout, spotting).some(({ wagons }) => wagonAt(wagons, tile) !== undefined);

/** Arms onto carriers that draw from where the brief does not let them. */
function wronglyFed(layout: Layout, brief: Brief): readonly Tile[] {
  const { feed } = brief;
  const standing = (tile: Tile): string | undefined =>
    layout.parts.find((part) => tilesOf(part).some((own) => sameTile(own, tile)))?.kind;
  return armsOf(layout)
    .filter((arm) => {
      const onto = standing(placeTile(arm));
      if (onto === undefined || onto === 'chest' || onto === 'arm') return false;
      const isDirect = mayBeWagon(layout, brief, pickTile(arm));
      const isFromChest = standing(pickTile(arm)) === 'chest';
      return !((isDirect && feed !== 'chests') || (isFromChest && feed !== 'direct'));
    })
    .map((arm) => arm.at);
}

/** Arms that bring items from where the brief does not let them, or elsewhere than into chests and wagons. */
function wronglyFilling(layout: Layout, brief: Brief): readonly Tile[] {
  const { feed } = brief;
  const standing = (tile: Tile): string | undefined =>
    mayBeWagon(layout, brief, tile) ? 'wagon' : layout.parts.find((part) => tilesOf(part).some((own) => sameTile(own, tile)))?.kind;
  return armsOf(layout)
    .filter((arm) => {
      const [from, into] = [standing(pickTile(arm)), standing(placeTile(arm))];
      if (from === 'chest') return into !== 'wagon' || feed === 'direct';
      const isOfCarrier = from === 'belt' || from === 'splitter' || from === 'underpass';
      return !isOfCarrier || !((into === 'wagon' && feed !== 'chests') || (into === 'chest' && feed !== 'direct'));
    })
    .map((arm) => arm.at);
}

export function checkPlan({ layout, demands }: PlacedLayout, brief: Brief, stated: number, price: Price): readonly FlawKind[] {
  const flaws: FlawKind[] = [];
  const found = priceOf(layout, price);
  if (found !== stated) flaws.push({ kind: 'plan-price', stated, found });
  brief.exits.forEach((demand, index) => {
    const exit = layout.exits.at(demands.indexOf(index));
    const isThere = demands.includes(index) && exit !== undefined && isWhereAsked(layout, exit, demand);
    if (!isThere) flaws.push({ kind: 'plan-exit', demand: index });
  });
  brief.load?.entries.forEach((demand, index) => {
    const entry = entriesOf(layout).at(demands.indexOf(index));
    const isThere = demands.includes(index) && entry !== undefined && comesInWhereAsked(layout, entry, demand);
    if (!isThere) flaws.push({ kind: 'plan-entry', demand: index });
  });
  for (const at of brief.load === undefined ? wronglyFed(layout, brief) : wronglyFilling(layout, brief)) flaws.push({ kind: 'plan-feed', at });
  const counts = { arms: armsOf(layout).length, parts: partCount(layout), cost: layoutCost(layout) };
  for (const limit of ['arms', 'parts', 'cost'] as const) {
    const most = brief.limits[limit];
    if (most !== undefined && counts[limit] > most) flaws.push({ kind: 'plan-limit', limit, most: String(most), found: String(counts[limit]) });
  }
  return flaws;
}
