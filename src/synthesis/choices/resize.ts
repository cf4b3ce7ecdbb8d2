/**
 * A brief on a site of another depth or width. The wagons stay where they are; exits over the edge that moves, move
 * with it.
 */
import type { Brief, Edge } from '../../brief/brief.js';
import { parseBrief } from '../../brief/parse-brief.js';
import { writeBrief } from '../../brief/write-brief.js';

/** Edges whose tiles are counted along that side. */
const ALONG: Readonly<Record<'depth' | 'width', readonly Edge[]>> = { depth: ['E', 'W'], width: ['N', 'S'] };

/**
 * Undefined where that is no sound brief, for want of room for a wagon or an exit. An exit's range that goes up to the site's far
 * corner goes on to do so; any other one ends with the site.
 */
export function resized(brief: Brief, side: 'depth' | 'width', length: number): Brief | undefined {
  const last = brief.site[side] - 1;
  const exits = brief.exits.map((exit) => {
    if (!ALONG[side].includes(exit.edge)) return exit;
    if (exit.to !== last) return { ...exit, to: Math.min(exit.to, length - 1) };
    return { ...exit, from: Math.min(exit.from, Math.max(0, length - 1 - (last - exit.from))), to: length - 1 };
  });
  const keepOut = brief.site.keepOut.flatMap((box) => {
    const [at, extent] = side === 'depth' ? [box.y, box.height] : [box.x, box.width];
    if (at >= length) return [];
    const room = Math.min(extent, length - at);
    return [side === 'depth' ? { ...box, height: room } : { ...box, width: room }];
  });
  const sized = { ...brief, exits, site: { ...brief.site, [side]: length, keepOut } };
  return parseBrief(writeBrief(sized), brief.catalog).ok ? sized : undefined;
}
