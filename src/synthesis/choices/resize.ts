/**
 * A brief on a site of another depth or width. The wagons stay where they are; exits and entries over the edge that moves,
 * move with it.
 */
import type { Brief, Edge, ExitDemand } from '../../brief/brief.js';
import type { EntryDemand } from '../../brief/load-job.js';
import { parseBrief } from '../../brief/parse-brief.js';
import { writeBrief } from '../../brief/write-brief.js';

/** Edges whose tiles are counted along that side. */
const ALONG: Readonly<Record<'depth' | 'width', readonly Edge[]>> = { depth: ['E', 'W'], width: ['N', 'S'] };

/**
 * Undefined where that is no sound brief, for want of room for a wagon, an exit or an entry. A range of these that goes up to
 * the site's far corner goes on to do so; any other one ends with the site.
 */
export function resized(brief: Brief, side: 'depth' | 'width', length: number): Brief | undefined {
  const last = brief.site[side] - 1;
  const moved = <T extends EntryDemand | ExitDemand>(range: T): T => {
    if (!ALONG[side].includes(range.edge)) return range;
    if (range.to !== last) return { ...range, to: Math.min(range.to, length - 1) };
    return { ...range, from: Math.min(range.from, Math.max(0, length - 1 - (last - range.from))), to: length - 1 };
  };
  const keepOut = brief.site.keepOut.flatMap((box) => {
    const [at, extent] = side === 'depth' ? [box.y, box.height] : [box.x, box.width];
    if (at >= length) return [];
    const room = Math.min(extent, length - at);
    return [side === 'depth' ? { ...box, height: room } : { ...box, width: room }];
  });
  const load = brief.load && { ...brief.load, entries: brief.load.entries.map(moved) };
  const sized = { ...brief, exits: brief.exits.map(moved), ...(load === undefined ? {} : { load }), site: { ...brief.site, [side]: length, keepOut } };
  return parseBrief(writeBrief(sized), brief.catalog).ok ? sized : undefined;
}
