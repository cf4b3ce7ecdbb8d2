/**
 * The least that two arms or more take in all which fill chests from one entry, or from two that are joined by a tee merge:
 * with one chest for all, that may be more than its arm carries off. What one arm takes that is alone is in `lone-arm.ts`.
 *
 * All carriers move by the same speed v, so a lane behaves like one thing: its *room* is all that lies between its items
 * beyond the pitch P, and before its end. Items move on by v, or to P behind the one ahead after that one's move, so what
 * waits behind the entry's edge moves on by v too, or by all the room that is left. Each item taken adds P of room. So a lane
 * brings v / P per tick but for ticks in which it stands packed up to its end; and then no arm takes from it.
 *
 * Let A be the arm nearest to the entry on the way that leads through, or on the only one, B the one at the way's end, neither
 * on the tile where ways meet. (What comes in from the side takes away as much room as it adds to what comes in.) After its last item an arm is
 * away for a while. Back again, it takes first from its near lane, then from the far one; and if its hand is larger than what
 * the near lane gives at once, and grabs two items while a lane brings one, it goes on taking from both until it leaves. Then
 * its tile is nearly empty: nothing of the near lane is left there, of the far one no more than some units. So when both have
 * left, a lane has room of two tiles but for a pitch and what was left, less what it moved on since the first one left; and no
 * lane is packed for longer than until that arm is back, the far one until it has done with the near one.
 *
 * So lanes fall short in pauses only, each between a visit of A and one of B, whichever is first. The pause before a visit of B
 * and the one after it lie between two visits of A, which are further apart than any of them is long: the longer one is, the
 * more room is left in the other, and both together fall short by no more than one does at most. What falls short of two full
 * lanes is as many pauses as B has visits, and A takes some rate at least.
 *
 * If A is on the side alone, nothing gets in from there (`held-up.ts`), so A and B each have two packed lanes. Where both ways
 * come in from the sides, each lane beyond is filled from one entry, and packed. Two arms beyond are as above. Else one arm
 * is on a way before, with two packed lanes, and so is one on the other way, or the first one beyond has a packed lane.
 */
import { minRational, ratio, ZERO, type Rational } from '../../base/rational.js';
import type { ArmModel, BeltModel, Catalog } from '../../catalog/catalog.js';

interface Lanes {
  readonly unitsPerTile: number;
  readonly pitch: number;
  readonly speed: number;
}

/** What an arm does at a tile, in the words above; times in ticks, ways in units. */
interface Manner {
  readonly hand: number;
  /** From its last take to its next visit. */
  readonly away: number;
  /** How long it takes from its near lane alone, at most; and all items, at least. */
  readonly onNear: number;
  readonly taking: number;
  /** Units on the far lane. */
  readonly left: number;
  /** Items per tick at least with two packed lanes, and with one. */
  readonly ofTwo: Rational;
  readonly ofOne: Rational;
}

/** Most items that come within reach in so many ticks, the first one `ahead` units beyond the tile's tail. */
const mostIn = (ticks: number, ahead: number, { pitch, speed }: Lanes): number => Math.floor((ahead + speed * ticks - 1) / pitch) + 1;

/** Least items that a packed lane has brought within reach by then, if its first one was less than a pitch from the tile's end. */
const leastIn = (ticks: number, { unitsPerTile, pitch, speed }: Lanes): number => Math.ceil((unitsPerTile - pitch + 1 + speed * ticks) / pitch);

/** Ticks for which a hand finds an item whenever it may take one, though `others` are all that other lanes bring. */
function busyTicks({ payload, grabTicks }: ArmModel, others: number, lanes: Lanes): number {
  const most = payload * grabTicks;
  for (let ticks = 1; ticks < most; ticks++) if (others + leastIn(ticks, lanes) <= Math.ceil(ticks / grabTicks)) return ticks;
  return most;
}

/** Most units that lie on the far lane when the hand is full, by how many it took from the near lane before that was empty. */
function leftOnFar({ payload, grabTicks }: ArmModel, mostNear: number, lanes: Lanes): number {
  const { unitsPerTile, pitch, speed } = lanes;
  const nearInAll = mostIn((payload - 1) * grabTicks, unitsPerTile, lanes);
  // Once the far lane is empty too, no item there stays for longer than it takes to grab one from the near lane.
  let most = speed * grabTicks;
  for (let near = 0; near <= mostNear; near++) {
    const ticks = (payload - 1 - near) * grabTicks;
    const later = Math.min(mostIn(ticks, 0, lanes), nearInAll - near);
    most = Math.max(most, unitsPerTile + speed * ticks - pitch * (payload - near - later));
  }
  return most;
}

/** Undefined where nothing is known. */
function mannerOf(arm: ArmModel, lanes: Lanes): Manner | undefined {
  const { unitsPerTile, pitch, speed } = lanes;
  const { payload: hand, grabTicks, swingTicks, patienceTicks } = arm;
  const away = grabTicks + 2 * swingTicks + 1;
  if (patienceTicks !== undefined || 2 * grabTicks * speed > pitch || speed * away < unitsPerTile) return undefined;
  const mostNear = Math.floor((unitsPerTile - 1) / (pitch - speed * grabTicks)) + 1;
  // So many ticks at least it takes an empty tile to be packed; the near lane does not keep the hand for as long.
  const filling = Math.floor((unitsPerTile - pitch) / speed) - 1;
  if (hand <= mostNear || mostIn(filling, unitsPerTile, lanes) >= Math.floor(filling / grabTicks)) return undefined;
  const perPitch = Math.ceil(pitch / speed);
  const ofOneTicks = busyTicks(arm, 0, lanes);
  const ofOne = Math.min(hand, Math.ceil(ofOneTicks / grabTicks));
  const atOnce = Math.min(hand, Math.ceil(busyTicks(arm, leastIn(ofOneTicks, lanes), lanes) / grabTicks));
  const rest = hand - atOnce;
  // Then each lane brings one in `perPitch` ticks.
  const gathering = rest === 0 ? (hand - 1) * grabTicks : atOnce * grabTicks + Math.floor((rest - 1) / 2) * (perPitch + 2 * grabTicks) + perPitch + (rest % 2 === 0 ? grabTicks : 0);
  return {
    hand,
    away,
    onNear: mostNear * grabTicks,
    taking: (hand - 1) * grabTicks,
    left: leftOnFar(arm, mostNear, lanes),
    ofTwo: ratio(hand, gathering + away),
    ofOne: ratio(hand, (ofOne - 1) * grabTicks + (hand - ofOne) * perPitch + away),
  };
}

/** Units by which both lanes fall short in a pause at most: near to both arms is the same lane, or to each another one. */
function shortInPause(away: number, onNear: number, left: number, { unitsPerTile, pitch, speed }: Lanes): number {
  const room = 2 * unitsPerTile - pitch + 1;
  const short = (ticks: number, lying: number): number => Math.max(0, speed * ticks - room + lying);
  return Math.max(short(away, 0) + short(away + onNear, 2 * left), short(away, left) + short(away + onNear, left));
}

/** What is known of arms, whichever they are: of each thing the worst. */
interface KnownOfArms {
  readonly ofTwo: Rational;
  readonly ofOne: Rational;
  /** Items that two lanes fall short by, for each that B takes. */
  readonly shortPerItem: Rational;
}

export function knownOfArms(arms: readonly ArmModel[], { speed }: BeltModel, { unitsPerTile, pitch, turn, underpasses }: Catalog): KnownOfArms | undefined {
  const lanes = { unitsPerTile, pitch, speed };
  const isPlain = turn.inner === unitsPerTile && turn.outer === unitsPerTile && underpasses.every((other) => other.speed === speed) && 4 * speed <= unitsPerTile;
  const manners = arms.flatMap((arm) => mannerOf(arm, lanes) ?? []);
  if (!isPlain || manners.length === 0 || manners.length < arms.length) return undefined;
  const most = (of: (manner: Manner) => number): number => Math.max(...manners.map(of));
  const longest = most(({ away, onNear }) => away + onNear);
  if (manners.some(({ away, taking }) => away + taking < longest)) return undefined;
  const short = shortInPause(most(({ away }) => away), most(({ onNear }) => onNear), most(({ left }) => left), lanes);
  return {
    ofTwo: manners.map(({ ofTwo }) => ofTwo).reduce(minRational),
    ofOne: manners.map(({ ofOne }) => ofOne).reduce(minRational),
    shortPerItem: ratio(short, pitch * Math.min(...manners.map(({ hand }) => hand))),
  };
}

/** Items per tick in all, if one of the arms picks from the last tile and no two from the same; 0 where nothing is known. */
export function leastOfTwo(arms: readonly ArmModel[], belt: BeltModel, catalog: Catalog): Rational {
  const known = knownOfArms(arms, belt, catalog);
  if (known === undefined) return ZERO;
  const { ofTwo, ofOne, shortPerItem } = known;
  // All that is taken, t, is no less than two full lanes less what they fall short by, and B takes t - ofTwo at most.
  const onOneWay = ratio(2 * belt.speed, catalog.pitch).add(shortPerItem.mul(ofTwo)).div(shortPerItem.add(1));
  return minRational(onOneWay, ofTwo.add(ofOne));
}
