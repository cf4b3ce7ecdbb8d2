/**
 * Kept-out tiles as rectangles: a picture shows the tiles, a plan lists the rectangles.
 */
import { boxHolds, type Box } from '../base/geometry.js';
import { isWithin, tilesWithin, type Ground } from '../base/ground.js';

/** The same tiles always give the same rectangles: from the least free tile in the order of (y, x), first as wide, then as deep as may be. */
export function boxesOf(site: Ground, isKept: (x: number, y: number) => boolean): readonly Box[] {
  const boxes: Box[] = [];
  const isOpen = (x: number, y: number): boolean => isWithin(site, { x, y }) && isKept(x, y) && !boxes.some((box) => boxHolds(box, { x, y }));
  for (const { x, y } of tilesWithin(site)) {
    if (!isOpen(x, y)) continue;
    let across = 1;
    while (isOpen(x + across, y)) across += 1;
    const isRowOpen = (row: number): boolean => Array.from({ length: across }, (_, i) => isOpen(x + i, row)).every(Boolean);
    let down = 1;
    while (isRowOpen(y + down)) down += 1;
    boxes.push({ x, y, width: across, height: down });
  }
  return boxes;
}

export const sameBoxes = (a: readonly Box[], b: readonly Box[]): boolean =>
  a.length === b.length &&
  a.every((box, i) => box.x === b[i].x && box.y === b[i].y && box.width === b[i].width && box.height === b[i].height);
