/**
 * One tick with real counts: carriers move as in any run, and arms take and put no more than containers hold or fit.
 * What arms do at carriers, and containers that never run dry or fill, are in `tick.ts`.
 */
import { Phase } from './machine.js';
import { ticksPassed, type Stock } from './stock.js';
import { armPicks, armPlaces, endTick, moveCarriers } from './tick.js';

/** Whether the arm took anything. */
function picksFrom(s: Stock, arm: number, container: number): boolean {
  const m = s.machine;
  const held = s.held[container];
  const payload = m.armPayload[arm];
  if (held - payload < s.pickSpare[container]) s.pickSpare[container] = held - payload;
  if (held === 0) {
    m.armStarved[arm]++;
    return false;
  }
  const take = payload < held ? payload : held;
  s.held[container] = held - take;
  if (held - take < s.lowest[container]) s.lowest[container] = held - take;
  s.lastTaker[container] = arm;
  m.armHand[arm] = take;
  m.armTaken[arm] += take;
  m.armPhase[arm] = Phase.place;
  m.armDue[arm] = m.now + m.armGrab[arm] + m.armSwing[arm];
  return true;
}

function placesInto(s: Stock, arm: number, container: number): void {
  const m = s.machine;
  const hand = m.armHand[arm];
  const held = s.held[container];
  const room = s.capacity[container] - held;
  if (room - hand < s.placeSpare[container]) s.placeSpare[container] = room - hand;
  if (room === 0) {
    m.armBlocked[arm]++;
    return;
  }
  const fit = hand < room ? hand : room;
  s.held[container] = held + fit;
  if (held + fit > s.highest[container]) s.highest[container] = held + fit;
  s.lastPlacer[container] = arm;
  m.armPlaced[arm] += fit;
  m.armHand[arm] = hand - fit;
  if (fit < hand) {
    m.armPhase[arm] = Phase.release;
    m.armDue[arm] = m.now + 1;
    return;
  }
  m.armCycles[arm]++;
  m.armPhase[arm] = Phase.pick;
  m.armDue[arm] = m.now + 1 + m.armSwing[arm];
}

/** Pauses at the exits, once a tick is over. */
function noteExits(s: Stock): void {
  const { exitCount } = s.machine;
  const tick = ticksPassed(s) - 1;
  for (let exit = 0; exit < s.exitSeen.length; exit++) {
    const count = exitCount[exit * 2] + exitCount[exit * 2 + 1];
    const pause = tick - s.exitLastTick[exit];
    if (count !== s.exitSeen[exit]) {
      s.exitSeen[exit] = count;
      s.exitLastTick[exit] = tick;
      if (pause > s.exitLongestPause[exit]) s.exitLongestPause[exit] = pause;
    } else if (pause > s.starvedAfterTicks) s.exitStarved[exit]++;
  }
}

/** Advances by one tick; the arm that began a visit in it by taking an item: the watched one, else the first, or -1. */
export function stepStock(s: Stock): number {
  const m = s.machine;
  moveCarriers(m, m.whole);
  const { now, watch } = m;
  const arms = m.armDue.length;
  let began = -1;
  for (let arm = 0; arm < arms; arm++) {
    if (m.armDue[arm] > now) continue;
    if (m.armPhase[arm] === Phase.pick) {
      const from = s.armFrom[arm];
      const begins = from < 0 ? armPicks(m, arm) : picksFrom(s, arm, from);
      if (begins && (began < 0 || arm === watch)) began = arm;
    } else {
      const into = s.armInto[arm];
      if (into < 0) armPlaces(m, arm);
      else placesInto(s, arm, into);
    }
  }
  endTick(m, m.whole);
  noteExits(s);
  return began;
}
