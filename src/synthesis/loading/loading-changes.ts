/**
 * Changes of stations that are to be shown (`loading-first.ts`), drawn at random: some ways given up, the end of one drawn
 * anew, or two led to one tile from both its sides. What arms are needed then is for others to find out.
 */
import { backOf, HEADINGS, leftOf, rightOf, stepFrom, type Heading } from '../../base/geometry.js';
import { alongWays, partsByTile, tilesOfWays, type Begun } from './loading-begun.js';
import type { LoadingSite } from './loading-site.js';
import { placesOf } from './carrier-ends.js';
import { drawnOn, firstThatMayGo, nearestFirst, shuffled, wayAfter, type Draw, type Reached, type Step, type Way } from './loading-ways.js';

/** What has come of a change; `way` is the one that is new. */
export interface Changed {
  readonly begun: Begun;
  readonly way: Way;
}

/** All but one or two of its ways, and but those that led into these; with the arms that still pick from some. */
export function someOf({ ways, crew }: Begun, draw: Draw): Begun {
  let stay = shuffled(ways, draw).slice(1 + draw(2));
  for (let count = -1; count !== stay.length; ) {
    count = stay.length;
    const tiles = new Set(tilesOfWays(stay));
    stay = stay.filter(({ into }) => into === undefined || tiles.has(into));
  }
  return alongWays(stay, crew);
}

/** With the end of a way drawn anew, from behind the last tile at which others join it; arms that picked from it are given up. */
export function withNewEnd(site: LoadingSite, { ways, crew }: Begun, draw: Draw): Changed | undefined {
  const way = ways[draw(ways.length)];
  const others = ways.filter((other) => other !== way);
  const first = firstThatMayGo(way, ways);
  const kept = way.steps.slice(0, Math.max(1, first + draw(way.steps.length - first + 1)));
  const rest = alongWays(others, crew);
  const drawn = drawnOn(site, { ...way, steps: kept }, partsByTile(site, { ...rest, ways: [...others, { ...way, steps: kept }] }), draw(2) === 0, draw);
  return drawn && { begun: { ...rest, ways: [...others, drawn] }, way: drawn };
}

/** Of a walk backwards from a goal: its steps to that. */
const stepsToGoal = (here: Reached | undefined): readonly Step[] => (here === undefined ? [] : [{ tile: here.tile, heading: here.heading }, ...stepsToGoal(here.from)]);

/**
 * A way led on from one of its steps to a goal, or from another place of its entry, by a short way that is drawn; undefined
 * where there is none. It goes over free tiles alone; no tile of any way is free.
 */
function ledTo(site: LoadingSite, way: Way, goal: Step, ways: readonly Way[], isFree: (tile: number) => boolean, draw: Draw): Way | undefined {
  const { steps } = way;
  // What leads into it is to go on doing so.
  const first = firstThatMayGo(way, ways);
  const places = first === 0 ? placesOf(site, site.job.entries[way.entry]) : [];
  const headingsAt = (here: Reached): readonly Heading[] => (isFree(here.tile) ? HEADINGS.filter((heading) => heading !== backOf(here.heading)) : []);
  for (const here of nearestFirst(site, { ...goal, from: undefined }, { backwards: true, headingsAt, mayEnter: () => true }, draw)) {
    const index = steps.findIndex(({ tile }) => tile === here.tile);
    // The first belt heads inward, and no other one turns back.
    if (index >= Math.max(0, first - 1) && (index > 0 ? here.heading !== backOf(steps[index - 1].heading) : here.heading === steps[0].heading)) {
      return { ...way, steps: [...steps.slice(0, index), ...stepsToGoal(here)] };
    }
    const place = isFree(here.tile) ? places.find(({ at, heading }) => heading === here.heading && site.indexOf(at) === here.tile) : undefined;
    if (place !== undefined) return { ...way, place, steps: stepsToGoal(here) };
  }
  return undefined;
}

/**
 * With two ways that come to a tile of one of them from both its sides, each onto a lane of its own; what the other one led
 * to before is given up. What tees into a packed way from one side gets in nowhere (`held-up.ts`).
 */
export function knotted(site: LoadingSite, begun: Begun, draw: Draw): Changed | undefined {
  const { ways, crew } = begun;
  const through = ways[draw(ways.length)];
  const mayJoin = ways.filter((way) => way !== through && !leadsTo(through, way, ways));
  if (through.steps.length < 2 || mayJoin.length === 0) return undefined;
  const joining = mayJoin[draw(mayJoin.length)];
  const at = 1 + draw(through.steps.length - 1);
  const { tile, heading } = through.steps[at];
  if (ways.some((way) => way !== joining && way.into === tile)) return undefined;
  const sides = [leftOf(heading), rightOf(heading)];
  const [own, other] = (draw(2) === 0 ? sides : sides.toReversed()).map((side): Step => ({ tile: site.indexOf(stepFrom(site.tileAt(tile), side)), heading: backOf(side) }));
  if (own.tile < 0 || other.tile < 0) return undefined;
  const taken = partsByTile(site, begun);
  const isFree = (each: number): boolean => site.isOpen(each) && !taken.has(each);
  const led = ledTo(site, { ...through, steps: through.steps.slice(0, at) }, own, ways, (each) => isFree(each) && each !== other.tile, draw);
  if (led === undefined) return undefined;
  const ofLed = new Set(tilesOfWays([led]));
  const come = ledTo(site, joining, other, ways, (each) => isFree(each) && !ofLed.has(each), draw);
  if (come === undefined) return undefined;
  const way = { ...come, into: tile };
  const others = ways.filter((each) => each !== through && each !== joining);
  return { begun: alongWays([...others, { ...led, steps: [...led.steps, ...through.steps.slice(at)] }, way], crew), way };
}

/** By others or at once. No station that is changed has ways that go round. */
function leadsTo(from: Way, to: Way, ways: readonly Way[]): boolean {
  const after = wayAfter(from, ways);
  return after !== undefined && (after === to || leadsTo(after, to, ways));
}
