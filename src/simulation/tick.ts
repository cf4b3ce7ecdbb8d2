/**
 * One tick of a machine: credit, carriers in their fixed order, arms, meters (world rules, sections 2 to 8; entries: section 11).
 * Whole numbers only, and nothing is allocated here. What the arrays mean stands in `machine.ts`.
 */
import { appendItem, firstBelow, insertItem, itemAt, removeFront, removeItem } from './lanes.js';
import { ArmEndKind, FAR, Link, Op, Phase, PICK_STRETCHES, WATCH_ALL, type Machine, type Strand } from './machine.js';

/**
 * Position, from the lane's tail, of the next item beyond the lane's end, along its way.
 * Items further than the pitch beyond `reach` don't matter, so the search ends there.
 */
function aheadOf(m: Machine, lane: number, reach: number): number {
  let end = m.laneLength[lane];
  let at = lane;
  while (m.laneLink[at] === Link.onward) {
    at = m.laneTo[at];
    const count = m.laneCount[at];
    if (count > 0) return end + itemAt(m, at, count - 1);
    end += m.laneLength[at];
    if (end >= reach + m.pitch) return FAR;
  }
  return FAR;
}

/** As `aheadOf`, for a lane's foremost item: on a ring it may find the lane again, but is not ahead of itself. */
function aheadOfFront(m: Machine, lane: number, reach: number): number {
  let end = m.laneLength[lane];
  let at = lane;
  while (m.laneLink[at] === Link.onward) {
    at = m.laneTo[at];
    const last = m.laneCount[at] - 1;
    if (last >= 0 && (at !== lane || last > 0)) return end + itemAt(m, at, last);
    end += m.laneLength[at];
    if (end >= reach + m.pitch) return FAR;
  }
  return FAR;
}

/** Distance, upstream from the lane's tail, of the next item behind it along its way; FAR where it is at least `reach`. */
function behindOf(m: Machine, lane: number, reach: number): number {
  let distance = 0;
  let at = m.laneUp[lane];
  while (at >= 0 && distance < reach) {
    if (m.laneCount[at] > 0) return distance + m.laneLength[at] - itemAt(m, at, 0);
    distance += m.laneLength[at];
    at = m.laneUp[at];
  }
  return FAR;
}

function noteEarly(m: Machine, lane: number, position: number): void {
  if (m.laneMoved[lane] !== 0) return;
  m.earlyLane[m.earlyCount] = lane;
  m.earlyPosition[m.earlyCount] = position;
  m.earlyCount++;
}

function isEarly(m: Machine, lane: number, position: number): boolean {
  for (let i = 0; i < m.earlyCount; i++) {
    if (m.earlyLane[i] === lane && m.earlyPosition[i] === position) return true;
  }
  return false;
}

/** Puts an item into a lane in the course of the carriers' moves. */
function enterLane(m: Machine, lane: number, index: number, position: number): void {
  if (index === m.laneCount[lane]) appendItem(m, lane, position);
  else insertItem(m, lane, index, position);
  if (m.opensRing) noteEarly(m, lane, position);
}

/** Lets an item out over an exit's edge with `rest` units of its move unspent, if the exit takes it. */
function leave(m: Machine, exitLane: number, rest: number): boolean {
  const exit = exitLane >> 1;
  if (m.exitPrice[exit] > 0) {
    if (m.exitCredit[exit] < m.exitPrice[exit]) return false;
    m.exitCredit[exit] -= m.exitPrice[exit];
    m.exitLast[exit] = exitLane & 1;
  }
  m.exitCount[exitLane]++;
  if (m.gapLastTick[exitLane] < 0) {
    m.gapFirstTick[exitLane] = m.now;
    m.gapFirstRest[exitLane] = rest;
  } else {
    const gap = m.exitSpeed[exit] * (m.now - m.gapLastTick[exitLane]) + m.gapLastRest[exitLane] - rest;
    if (gap > m.gapGreatest[exitLane]) m.gapGreatest[exitLane] = gap;
  }
  m.gapLastTick[exitLane] = m.now;
  m.gapLastRest[exitLane] = rest;
  return true;
}

/** The item at a lane's end goes `over` (> 0) units further, if what the lane links to takes it. */
function passOn(m: Machine, lane: number, over: number): boolean {
  switch (m.laneLink[lane]) {
    case Link.onward:
      land(m, m.laneTo[lane], over);
      return true;
    case Link.exit:
      return leave(m, m.laneTo[lane], over);
    case Link.tee:
      if (!enterByTee(m, m.laneTo[lane], m.laneJoin[lane], over)) return false;
      m.laneTeed[lane]++;
      return true;
    default:
      return false;
  }
}

/** An item comes over a lane's tail and goes to `position`, or past the lane's end, as the last of that lane. */
function land(m: Machine, lane: number, position: number): void {
  let at = lane;
  let stop = position;
  // A loop, for a way round of a few units may be gone very often in one move.
  while (stop > m.laneLength[at] && m.laneLink[at] === Link.onward) {
    stop -= m.laneLength[at];
    at = m.laneTo[at];
  }
  const length = m.laneLength[at];
  if (stop > length) {
    if (passOn(m, at, stop - length)) return;
    stop = length;
  }
  enterLane(m, at, m.laneCount[at], stop);
}

/** Where an item with `over` units of its move left gets to at a tee merge, ahead of those from `index` on; -1 if the one ahead is too close. */
function placeByTee(m: Machine, lane: number, index: number, join: number, over: number): number {
  const ahead = index > 0 ? itemAt(m, lane, index - 1) : aheadOf(m, lane, join + over);
  let q = join + over;
  if (q > ahead - m.pitch) q = ahead - m.pitch;
  return q < join ? -1 : q;
}

/** An item enters a lane at `join` with `over` units of its move left, if it finds room. */
function enterByTee(m: Machine, lane: number, join: number, over: number): boolean {
  const index = firstBelow(m, lane, join);
  const q = placeByTee(m, lane, index, join, over);
  if (q < 0) return false;
  if (q > m.laneLength[lane]) return enterBeyond(m, lane, q, index);
  if (!clearBehind(m, lane, index, q)) return false;
  enterLane(m, lane, index, q);
  return true;
}

/** Whether a tee merge would take an item with a whole move left; at the safe side where that would go past the target lane. */
function wouldTake(m: Machine, lane: number, join: number, over: number): boolean {
  const index = firstBelow(m, lane, join);
  const q = placeByTee(m, lane, index, join, over);
  return q >= 0 && (q > m.laneLength[lane] || clearBehind(m, lane, index, q));
}

/** Whether no item from `index` on, nor upstream of the lane, is closer than the pitch to q. */
function clearBehind(m: Machine, lane: number, index: number, q: number): boolean {
  const behind = index < m.laneCount[lane] ? itemAt(m, lane, index) : -behindOf(m, lane, m.pitch - q);
  return q - behind >= m.pitch;
}

/**
 * Entering by a tee so late in a move that it goes past the target lane's end: it ends where nothing
 * takes it, counts on past an exit's edge, and is not tested past a second tee merge.
 * No item of the lane is ahead of it here, and none is nearer to q than the pitch on the lanes beyond.
 */
function enterBeyond(m: Machine, lane: number, q: number, index: number): boolean {
  // Other tees may be passed here without being asked.
  m.opened = true;
  let end = m.laneLength[lane];
  let last = lane;
  while (m.laneLink[last] === Link.onward && q > end) {
    last = m.laneTo[last];
    end += m.laneLength[last];
  }
  if (q <= end) {
    if (!clearBehind(m, lane, index, q)) return false;
    land(m, m.laneTo[lane], q - m.laneLength[lane]);
    return true;
  }
  if (m.laneLink[last] === Link.tee) {
    if (enterByTee(m, m.laneTo[last], m.laneJoin[last], q - end)) return true;
  } else if (m.laneLink[last] === Link.exit) {
    const exit = m.laneTo[last] >> 1;
    if (m.exitCredit[exit] >= m.exitPrice[exit]) {
      if (!clearBehind(m, lane, index, q)) return false;
      return leave(m, m.laneTo[last], q - end);
    }
  }
  if (!clearBehind(m, lane, index, end)) return false;
  // All lanes from the next one to `last` are empty, so the item is the foremost of `last`.
  enterLane(m, last, last === lane ? index : 0, m.laneLength[last]);
  return true;
}

/** Moves all items of a lane by its speed, the foremost to `limit` at most, the others up to the pitch behind it. */
function closeUp(m: Machine, lane: number, limit: number): void {
  const { position } = m;
  const head = m.laneHead[lane];
  const speed = m.laneSpeed[lane];
  const front = position[head] + m.laneShift[lane];
  const moved = front + speed > limit ? limit - front : speed;
  const shift = m.laneShift[lane] + moved;
  m.laneShift[lane] = shift;
  // Who follows an item that makes a whole move makes one too.
  if (moved === speed) return;
  const end = head + m.laneCount[lane];
  let i = head + (m.lanePacked[lane] > 0 ? m.lanePacked[lane] : 1);
  if (i >= end) {
    noteHeld(m, lane, position[end - 1] + shift);
    return;
  }
  const pitch = m.pitch;
  const rest = speed - moved;
  let place = position[i - 1] - pitch;
  while (i < end && position[i] + rest >= place) {
    position[i++] = place;
    place -= pitch;
  }
  noteHeld(m, lane, position[i - 1] + shift);
  m.lanePacked[lane] = i - head;
  for (; i < end; i++) position[i] += rest;
}

/** An item that has got no further than `position` in this tick did not make a whole move. */
function noteHeld(m: Machine, lane: number, position: number): void {
  if (position < m.laneHeld[lane]) m.laneHeld[lane] = position;
}

/** Moves the items of a lane that doesn't end at a dividing line. */
function moveLane(m: Machine, lane: number): void {
  if (m.laneCount[lane] === 0) return;
  const length = m.laneLength[lane];
  const wish = m.position[m.laneHead[lane]] + m.laneShift[lane] + m.laneSpeed[lane];
  // Where the foremost of the items that are still to move may go at most.
  let limit = length;
  if (m.laneLink[lane] === Link.onward) {
    const to = m.laneTo[lane];
    const there = m.laneCount[to];
    limit = (there > 0 ? length + itemAt(m, to, there - 1) : aheadOf(m, lane, wish)) - m.pitch;
    const reached = wish < limit ? wish : limit;
    if (reached > length) {
      land(m, to, reached - length);
      removeFront(m, lane);
      limit = aheadOf(m, lane, length) - m.pitch;
    }
  } else if (wish > length && passOn(m, lane, wish - length)) {
    removeFront(m, lane);
  }
  if (m.laneCount[lane] > 0) closeUp(m, lane, limit);
}

/** As `moveLane`, where some items may have entered the lane before it moves: those don't move again. Shifts stay 0 here. */
function moveLaneInRing(m: Machine, lane: number): void {
  const length = m.laneLength[lane];
  const speed = m.laneSpeed[lane];
  let limit = FAR;
  for (let i = 0; i < m.laneCount[lane]; ) {
    const from = itemAt(m, lane, i);
    if (isEarly(m, lane, from)) {
      limit = from - m.pitch;
      i++;
      continue;
    }
    let p = from + speed;
    if (i === 0) limit = aheadOfFront(m, lane, p) - m.pitch;
    if (p > limit) p = limit;
    if (p > length) {
      // Only the foremost gets here, for the pitch is no less than any speed.
      removeFront(m, lane);
      if (passOn(m, lane, p - length)) continue;
      p = length;
      insertItem(m, lane, 0, p);
    } else {
      m.position[m.laneHead[lane] + i] = p;
    }
    limit = p - m.pitch;
    i++;
  }
  // Not before: where the way round is shorter than a move, the item that left may have come back, and must not go again.
  m.laneMoved[lane] = 1;
}

function advance(m: Machine, lane: number): void {
  if (m.opensRing) moveLaneInRing(m, lane);
  else moveLane(m, lane);
}

function drain(m: Machine, lane: number): void {
  m.laneShift[lane] += m.laneSpeed[lane];
  while (m.laneCount[lane] > 0 && itemAt(m, lane, 0) > m.laneLength[lane]) removeFront(m, lane);
}

function couldLeave(m: Machine, lane: number): boolean {
  if (m.laneCount[lane] === 0) return false;
  const front = itemAt(m, lane, 0);
  return front + m.laneSpeed[lane] > m.laneLength[lane] && !(m.opensRing && isEarly(m, lane, front));
}

/** The foremost item of an input lane goes `over` units beyond the line, if an output lane has room. */
function crossLine(m: Machine, splitter: number, side: number, over: number): boolean {
  const toggle = splitter * 2 + side;
  const favoured = m.splitterFavourOut[splitter];
  let half = favoured >= 0 ? favoured : m.toggleOut[toggle];
  for (let attempt = 0; attempt < 2; attempt++) {
    const lane = m.splitterOut[splitter * 4 + half * 2 + side];
    const count = m.laneCount[lane];
    const ahead = count > 0 ? itemAt(m, lane, count - 1) : aheadOf(m, lane, over);
    if (ahead >= m.pitch) {
      land(m, lane, over < ahead - m.pitch ? over : ahead - m.pitch);
      if (favoured < 0) m.toggleOut[toggle] = 1 - half;
      return true;
    }
    half = 1 - half;
  }
  return false;
}

/** Units by which the foremost item of an input lane would go beyond the line in this tick; 0 or less if it doesn't want to. */
function wantsOver(m: Machine, lane: number): number {
  if (m.laneCount[lane] === 0) return 0;
  const front = itemAt(m, lane, 0);
  const over = front + m.laneSpeed[lane] - m.laneLength[lane];
  return over > 0 && m.opensRing && isEarly(m, lane, front) ? 0 : over;
}

/** Moves what is left of an input lane, of which the foremost item may have crossed; the line stops all. */
function moveInput(m: Machine, lane: number, crossed: boolean): void {
  if (m.laneCount[lane] === 0) return;
  if (crossed) removeFront(m, lane);
  if (m.opensRing) moveInputInRing(m, lane);
  else if (m.laneCount[lane] > 0) closeUp(m, lane, m.laneLength[lane]);
}

function moveInputInRing(m: Machine, lane: number): void {
  let limit = m.laneLength[lane];
  for (let i = 0; i < m.laneCount[lane]; i++) {
    let p = itemAt(m, lane, i);
    if (!isEarly(m, lane, p)) {
      p += m.laneSpeed[lane];
      if (p > limit) p = limit;
      m.position[m.laneHead[lane] + i] = p;
    }
    limit = p - m.pitch;
  }
}

function crossSplitter(m: Machine, splitter: number, side: number): void {
  const leftLane = m.splitterIn[splitter * 4 + side];
  const rightLane = m.splitterIn[splitter * 4 + 2 + side];
  const leftOver = wantsOver(m, leftLane);
  const rightOver = wantsOver(m, rightLane);
  let leftCrossed = false;
  let rightCrossed = false;
  if (leftOver > 0 && rightOver > 0) {
    const favoured = m.splitterFavourIn[splitter];
    const toggle = splitter * 2 + side;
    const leftFirst = (favoured >= 0 ? favoured : m.toggleIn[toggle]) === 0;
    if (leftFirst) leftCrossed = crossLine(m, splitter, side, leftOver);
    rightCrossed = crossLine(m, splitter, side, rightOver);
    if (!leftFirst) leftCrossed = crossLine(m, splitter, side, leftOver);
    if (favoured < 0 && (leftFirst ? leftCrossed : rightCrossed)) m.toggleIn[toggle] = leftFirst ? 1 : 0;
  } else if (leftOver > 0) {
    leftCrossed = crossLine(m, splitter, side, leftOver);
  } else if (rightOver > 0) {
    rightCrossed = crossLine(m, splitter, side, rightOver);
  }
  moveInput(m, leftLane, leftCrossed);
  moveInput(m, rightLane, rightCrossed);
  if (m.opensRing) m.laneMoved[leftLane] = m.laneMoved[rightLane] = 1;
}

/** Position of the last item on a lane. */
const lastOf = (m: Machine, lane: number): number => itemAt(m, lane, m.laneCount[lane] - 1);

/**
 * Moves the queue behind one lane of an entry's edge: its foremost item comes in if it gets beyond the edge and there is
 * credit, and the next one stands a pitch behind it.
 */
function enterFrom(m: Machine, entry: number, side: number): void {
  const lane = m.entryLane[entry] + side;
  const at = m.laneBase[lane];
  const edge = m.laneLength[lane];
  const wish = m.position[at] + m.laneSpeed[lane];
  const limit = aheadOf(m, lane, wish) - m.pitch;
  const reached = wish < limit ? wish : limit;
  if (reached <= edge || (m.entryPrice[entry] > 0 && m.entryCredit[entry] < m.entryPrice[entry])) {
    m.position[at] = reached < edge ? reached : edge;
    return;
  }
  const to = m.laneTo[lane];
  land(m, to, reached - edge);
  m.position[at] = lastOf(m, to);
  m.entryCount[entry * 2 + side]++;
  m.entryLast[entry] = side;
  m.entryCredit[entry] -= m.entryPrice[entry];
}

/** Of two lanes with an item that could come in, the one that did not have the last goes first. */
function enter(m: Machine, entry: number): void {
  const first = 1 - m.entryLast[entry];
  enterFrom(m, entry, first);
  enterFrom(m, entry, 1 - first);
}

/** Takes the foremost item in an arm's reach, nearer lane first. */
function takeFromCarrier(m: Machine, arm: number): boolean {
  for (let k = arm * PICK_STRETCHES; k < (arm + 1) * PICK_STRETCHES; k++) {
    const lane = m.armPickLane[k];
    if (lane < 0) return false;
    const index = firstBelow(m, lane, m.armPickTo[k] + 1);
    if (index < m.laneCount[lane] && itemAt(m, lane, index) > m.armPickFrom[k]) {
      removeItem(m, lane, index);
      return true;
    }
  }
  return false;
}

/** Puts one item at the position furthest downstream that is free, between the arm's bounds. */
function placeOnLane(m: Machine, arm: number): boolean {
  const lane = m.armPlaceLane[arm];
  const from = m.armPlaceFrom[arm];
  const count = m.laneCount[lane];
  let at = m.armPlaceTo[arm];
  let index = firstBelow(m, lane, at + m.pitch);
  if (index === 0) {
    const ahead = aheadOf(m, lane, at);
    if (at > ahead - m.pitch) at = ahead - m.pitch;
  }
  for (; index < count; index++) {
    const p = itemAt(m, lane, index);
    if (p <= at - m.pitch) break;
    at = p - m.pitch;
    if (at < from) return false;
  }
  if (at < from || !clearBehind(m, lane, index, at)) return false;
  enterLane(m, lane, index, at);
  return true;
}

function placeAtLine(m: Machine, arm: number): boolean {
  const splitter = m.armPlaceLane[arm] >> 1;
  const side = m.armPlaceLane[arm] & 1;
  return crossLine(m, splitter, side, m.armPlaceTo[arm]);
}

/** One tick of an arm at its pick side; whether it took its first item of this visit. */
export function armPicks(m: Machine, arm: number): boolean {
  const now = m.now;
  const swing = m.armSwing[arm];
  const payload = m.armPayload[arm];
  if (m.armPickKind[arm] === ArmEndKind.container) {
    m.armHand[arm] = payload;
    m.armTaken[arm] += payload;
    m.armPhase[arm] = Phase.place;
    m.armDue[arm] = now + m.armGrab[arm] + swing;
    return true;
  }
  const held = m.armHand[arm];
  const patience = m.armPatience[arm];
  let took = false;
  if (held === 0 || now >= m.armGrabDue[arm]) {
    took = takeFromCarrier(m, arm);
    if (took) {
      m.armHand[arm]++;
      m.armTaken[arm]++;
      m.armLastTake[arm] = now;
      m.armGrabDue[arm] = now + m.armGrab[arm];
    } else {
      m.armStarved[arm]++;
    }
  }
  const holds = m.armHand[arm];
  if (holds === payload || (holds > 0 && patience >= 0 && now >= m.armLastTake[arm] + patience)) {
    m.armPhase[arm] = Phase.place;
    m.armDue[arm] = now + 1 + swing;
  } else if (holds > 0) {
    m.armDue[arm] = patience < 0 ? m.armGrabDue[arm] : now + 1;
  }
  return took && held === 0;
}

/** One tick of an arm at its place side. */
export function armPlaces(m: Machine, arm: number): void {
  const kind = m.armPlaceKind[arm];
  if (kind === ArmEndKind.container) {
    m.armPlaced[arm] += m.armHand[arm];
    m.armHand[arm] = 0;
  } else {
    const placed = kind === ArmEndKind.lane ? placeOnLane(m, arm) : placeAtLine(m, arm);
    if (!placed) {
      m.armBlocked[arm]++;
      return;
    }
    m.armPlaced[arm]++;
    m.armHand[arm]--;
  }
  if (m.armHand[arm] > 0) {
    m.armPhase[arm] = Phase.release;
    m.armDue[arm] = m.now + m.armRelease[arm];
    return;
  }
  m.armCycles[arm]++;
  m.armPhase[arm] = Phase.pick;
  m.armDue[arm] = m.now + 1 + m.armSwing[arm];
}

/** The first part of a tick: credit, then carriers in their order. */
export function moveCarriers(m: Machine, strand: Strand): void {
  const { opKind, opFirst, opSecond, meters, entries } = strand;
  for (let i = 0; i < meters.length; i++) m.exitCredit[meters[i]] += m.exitGain[meters[i]];
  for (let i = 0; i < entries.length; i++) m.entryCredit[entries[i]] += m.entryGain[entries[i]];

  if (m.opensRing) {
    m.laneMoved.fill(0);
    m.earlyCount = 0;
  }
  const ops = opKind.length;
  for (let op = 0; op < ops; op++) {
    const first = opFirst[op];
    switch (opKind[op]) {
      case Op.move:
        advance(m, first);
        break;
      case Op.cross:
        crossSplitter(m, first >> 1, first & 1);
        break;
      case Op.enter:
        enter(m, first);
        break;
      case Op.stop:
        if (m.laneCount[first] > 0) closeUp(m, first, m.laneLength[first]);
        break;
      case Op.drain:
        if (m.laneCount[first] > 0) drain(m, first);
        break;
      case Op.guard:
        if (wouldTake(m, m.laneTo[first], m.laneJoin[first], m.laneSpeed[first])) m.opened = true;
        break;
      case Op.meter: {
        const second = opSecond[op];
        const turn = 1 - m.exitLast[m.laneTo[first] >> 1];
        const swap = turn === 1 && couldLeave(m, first) && couldLeave(m, second);
        advance(m, swap ? second : first);
        advance(m, swap ? first : second);
      }
    }
  }
  // Arms act when every lane has moved: what they put down is not early.
  if (m.opensRing) m.laneMoved.fill(1);
}

/** The last part of a tick: meters. */
export function endTick(m: Machine, { meters, entries }: Strand): void {
  for (let i = 0; i < meters.length; i++) {
    const exit = meters[i];
    const most = m.exitPrice[exit] > m.exitGain[exit] ? m.exitPrice[exit] : m.exitGain[exit];
    if (m.exitCredit[exit] > most) m.exitCredit[exit] = most;
  }
  for (let i = 0; i < entries.length; i++) {
    const entry = entries[i];
    const most = m.entryPrice[entry] > m.entryGain[entry] ? m.entryPrice[entry] : m.entryGain[entry];
    if (m.entryCredit[entry] > most) m.entryCredit[entry] = most;
  }
  m.now++;
}

/**
 * Advances a machine, or one strand of it, by one tick, with containers that never run dry or fill (those that do:
 * `stocked-tick.ts`); whether the watched arm (or any, if all are watched) began a visit by taking an item.
 */
export function stepMachine(m: Machine, strand: Strand = m.whole): boolean {
  moveCarriers(m, strand);
  const { now, watch } = m;
  const { arms } = strand;
  let visited = false;
  for (let i = 0; i < arms.length; i++) {
    const arm = arms[i];
    if (m.armDue[arm] > now) continue;
    if (m.armPhase[arm] !== Phase.pick) armPlaces(m, arm);
    else if (armPicks(m, arm) && (arm === watch || watch === WATCH_ALL)) visited = true;
  }
  endTick(m, strand);
  return visited;
}
