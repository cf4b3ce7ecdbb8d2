/**
 * The items of one lane of a machine: reading, adding and removing them. How they move is in `tick.ts`.
 *
 * Item i of a lane stands at position[laneHead + i] + laneShift: a lane whose items all move alike only
 * changes its shift, which is kept small enough for 32 bits. The first `lanePacked` items are known to stand exactly the pitch apart, so they
 * move as one. Invariant: laneBase[lane] <= laneHead, laneHead + laneCount <= laneBase[lane + 1].
 */
import type { Machine } from './machine.js';

/** Position of an item from the lane's tail; item 0 is the foremost. */
export const itemAt = (m: Machine, lane: number, index: number): number =>
  m.position[m.laneHead[lane] + index] + m.laneShift[lane];

/** Index of the foremost item that stands below `position`; the number of items if none does. */
export function firstBelow(m: Machine, lane: number, position: number): number {
  const head = m.laneHead[lane];
  const sought = position - m.laneShift[lane];
  let low = head;
  let high = head + m.laneCount[lane];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (m.position[middle] < sought) high = middle;
    else low = middle + 1;
  }
  return low - head;
}

/** Beyond it a shift goes into positions when the next item comes; until then it grows by no more than the lane is long (`tracks.ts`). */
const MOST_SHIFT = 2 ** 29;

/** Whether an item that comes finds no place behind the others, or a shift that has grown too large. */
const isToSettle = (m: Machine, lane: number): boolean =>
  m.laneHead[lane] + m.laneCount[lane] === m.laneBase[lane + 1] || m.laneShift[lane] > MOST_SHIFT;

/** Moves a lane's items to the beginning of its room, and its shift into their positions. */
function settleLane(m: Machine, lane: number): void {
  const base = m.laneBase[lane];
  const head = m.laneHead[lane];
  const shift = m.laneShift[lane];
  const count = m.laneCount[lane];
  for (let i = 0; i < count; i++) m.position[base + i] = m.position[head + i] + shift;
  m.laneHead[lane] = base;
  m.laneShift[lane] = 0;
}

/** Adds an item behind all others. */
export function appendItem(m: Machine, lane: number, position: number): void {
  if (isToSettle(m, lane)) settleLane(m, lane);
  m.position[m.laneHead[lane] + m.laneCount[lane]++] = position - m.laneShift[lane];
}

/** Adds an item between those of index `index` - 1 and `index`. */
export function insertItem(m: Machine, lane: number, index: number, position: number): void {
  if (isToSettle(m, lane)) settleLane(m, lane);
  const head = m.laneHead[lane];
  for (let i = head + m.laneCount[lane]; i > head + index; i--) m.position[i] = m.position[i - 1];
  m.position[head + index] = position - m.laneShift[lane];
  m.laneCount[lane]++;
  if (m.lanePacked[lane] > index) m.lanePacked[lane] = index;
}

export function removeFront(m: Machine, lane: number): void {
  if (--m.laneCount[lane] === 0) {
    m.laneHead[lane] = m.laneBase[lane];
    m.laneShift[lane] = 0;
    m.lanePacked[lane] = 0;
    return;
  }
  m.laneHead[lane]++;
  if (m.lanePacked[lane] > 0) m.lanePacked[lane]--;
}

export function removeItem(m: Machine, lane: number, index: number): void {
  if (index === 0) {
    removeFront(m, lane);
    return;
  }
  const last = m.laneHead[lane] + m.laneCount[lane] - 1;
  for (let i = m.laneHead[lane] + index; i < last; i++) m.position[i] = m.position[i + 1];
  m.laneCount[lane]--;
  if (m.lanePacked[lane] > index) m.lanePacked[lane] = index;
}

/** Those that still stand behind an entry's edge don't count. */
export const itemsOnLanes = (m: Machine): number => m.laneCount.reduce((sum, count) => sum + count, 0) - 2 * m.entryLane.length;
