/**
 * Random briefs on sites of at most 20 tiles, as documents, for comparing designs with brute force: some with several
 * exits, wagons in a row, or a target for all exits together. Costs are small
 * and odd on purpose, so that the best plan has few parts and is not always the one with the fewest.
 */
import type { Brief } from '../../src/brief/brief.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { seededRandom } from '../../src/base/random.js';

type Draw = (below: number) => number;

const pick = <T>(draw: Draw, list: readonly T[]): T => list[draw(list.length)];
const chance = (draw: Draw, percent: number): boolean => draw(100) < percent;
const between = (draw: Draw, low: number, high: number): number => low + draw(high - low + 1);

function catalogDocument(draw: Draw) {
  const [units, pitch] = pick(draw, [
    [240, 60],
    [240, 60],
    [240, 60],
    [64, 16],
    [16, 5],
    [12, 6],
    [100, 90],
    [60, 13],
  ] as const);
  const speed = (): number => pick(draw, [Math.ceil(pitch / 4), Math.ceil(pitch / 4), Math.ceil(pitch / 3), Math.ceil((2 * pitch) / 7), pitch]);
  const slow = speed();
  const fast = Math.min(pitch, slow + between(draw, 1, slow));
  const beltCost = between(draw, 1, 3);
  const turns = chance(draw, 30) ? { turn: { inner: Math.ceil(units / 2), outer: units + Math.ceil(units / 3) } } : {};
  const arm = (reach: number) => ({
    reach,
    payload: pick(draw, [1, 2, 3, 4, 6, 12]),
    swing: between(draw, 2, 13),
    grab: pick(draw, [1, 1, 1, 2, 5]),
    release: pick(draw, [1, 1, 1, 2, 4]),
    slack: pick(draw, [0, 0, 0, Math.ceil(pitch / 4), pitch]),
    cost: between(draw, 1, 5),
  });
  const twoArms = chance(draw, 35);
  return {
    format: 'transloom-catalog/1',
    name: 'tiny',
    ticksPerSecond: 50,
    unitsPerTile: units,
    pitch,
    ...turns,
    belts: {
      slow: { speed: slow, cost: beltCost },
      ...(chance(draw, 35) ? { fast: { speed: fast, cost: beltCost + between(draw, 0, 2) } } : {}),
    },
    splitters: chance(draw, 60)
      ? { splitter: { speed: pick(draw, [slow, slow, fast]), cost: between(draw, 1, 5), favour: chance(draw, 10) } }
      : {},
    underpasses: chance(draw, 35) ? { underpass: { speed: pick(draw, [slow, slow, fast]), span: between(draw, 1, 4), cost: between(draw, 1, 2) } } : {},
    arms: {
      arm: arm(1),
      ...(twoArms ? { other: arm(pick(draw, [1, 2, 2])) } : {}),
    },
    chests: { chest: { capacity: 400, cost: between(draw, 1, 3) } },
    wagons: { wagon: { length: between(draw, 2, 4), capacity: 2000 } },
  };
}

/**
 * A share of what the belt carries, or about what some arms (each in its best case) bring onto lanes of it: so that many
 * briefs can be met, some of them just so.
 */
function targetDocument(draw: Draw, catalog: ReturnType<typeof catalogDocument>, speed: number, exits: number) {
  const { pitch } = catalog;
  const { payload, swing, grab, release } = catalog.arms.arm;
  const hand = grab + 2 * swing + 1 + (payload - 1) * Math.max(release, pick(draw, [0, Math.ceil(pitch / speed)]));
  const arms = between(draw, 1, 3);
  const tenths = pick(draw, [4, 7, 9, 10]);
  const share = (): { readonly fill: string } => ({ fill: `${between(draw, 1, 12)}/12` });
  const rate = (lanes: number, part: number): { readonly rate: string } => {
    // arms * payload / hand * tenths / 10, at most lanes * v / P.
    const num = arms * payload * tenths;
    const den = hand * 10 * exits * part;
    return num * pitch > lanes * speed * den ? { rate: `${lanes * speed}/${pitch}` } : { rate: `${num}/${den}` };
  };
  switch (draw(12)) {
    case 0:
      return { left: share() };
    case 1:
      return { right: share() };
    case 2:
      return share();
    case 3:
      return { left: share(), right: share() };
    case 4:
      return { left: rate(1, 1) };
    case 5:
      return { right: rate(1, 1) };
    case 6:
    case 7:
      return { left: rate(1, 2), right: rate(1, 2) };
    default:
      return rate(2, 1);
  }
}

/** About what some arms (each in its best case) bring, at most what all belts carry; or a share of that. */
function commonTargetDocument(draw: Draw, catalog: ReturnType<typeof catalogDocument>, speeds: readonly number[]) {
  const { payload, swing, grab, release } = catalog.arms.arm;
  const num = between(draw, 1, 4) * payload * pick(draw, [4, 7, 9, 10]);
  const den = 10 * (grab + 2 * swing + 1 + (payload - 1) * release);
  const speed = speeds.reduce((sum, each) => sum + 2 * each, 0);
  if (chance(draw, 30) || num * catalog.pitch > speed * den) return { fill: `${between(draw, 1, 9)}/12` };
  return { rate: `${num}/${den}` };
}

/** Catalog and brief as one document, such as the `design` command reads. `several`: two exits and two wagons for sure. */
export function tinyBriefDocument(seed: number, several = false) {
  const draw = seededRandom(seed);
  const catalog = catalogDocument(draw);
  const [width, depth] = pick(draw, [
    [3, 5],
    [4, 4],
    [4, 5],
    [3, 4],
    [5, 4],
    [5, 3],
  ] as const);
  const length = Math.min(several ? Math.ceil(width / 2) : width, catalog.wagons.wagon.length);
  const feed = pick(draw, ['chests', 'chests', 'direct', 'either'] as const);
  const exits = chance(draw, 20) || several ? 2 : 1;
  const exit = () => {
    // Two wagons leave hardly a place at their own edge.
    const edge = pick(draw, ['S', 'S', 'S', 'E', 'W', several ? 'S' : 'N'] as const);
    const last = edge === 'S' || edge === 'N' ? width - 1 : depth - 1;
    const whole = chance(draw, 60);
    const from = whole ? 0 : draw(last + 1);
    const to = whole ? last : between(draw, from, last);
    const [belt, { speed }] = pick(draw, Object.entries(catalog.belts));
    return { edge, from, to, belt, target: targetDocument(draw, catalog, speed, exits) };
  };
  const document = {
    format: 'transloom-brief/1',
    name: `tiny ${seed}`,
    catalog: { ...catalog, wagons: { wagon: { ...catalog.wagons.wagon, length, coupling: several ? draw(2) : 0 } } },
    site: {
      width,
      depth,
      ...(chance(draw, 25) ? { keepOut: [[draw(width), draw(depth), 1, 1]] } : {}),
    },
    wagons: [{ model: 'wagon', at: draw(width - length + 1) }],
    exits: Array.from({ length: exits }, exit),
    feed,
    presence: pick(draw, ['1', '1', '1', '1/2', '5/7']),
    starts: pick(draw, [0, 0, 0, 2]),
    minimise: ['cost', 'footprint', 'parts'],
  };
  const { coupling } = document.catalog.wagons.wagon;
  const first = { model: 'wagon', at: several ? Math.min(draw(3), width - length - coupling) - 1 : 0 };
  const wagons = several ? [first, { model: 'wagon' }] : document.wagons;
  if (!chance(draw, exits > 1 ? 50 : 5)) return { ...document, wagons };
  // Beside the exits' own targets, or instead of some or all of them.
  const speeds = document.exits.map(({ belt }) => catalog.belts[belt as 'slow'].speed);
  const left = draw(exits + 1);
  const own = document.exits.map(({ target, ...rest }, index) => (index < left ? { ...rest, target } : rest));
  return { ...document, wagons, exits: own, target: commonTargetDocument(draw, catalog, speeds) };
}

/**
 * A site with two sides, at most 16 tiles of them in all. Of four sorts: exits wherever; one over each side; one in the
 * south while only the north reaches the wagon, so that its belt passes beneath the track or around its end; one over
 * the end beyond the track.
 */
export function tinySidesDocument(seed: number) {
  const draw = seededRandom(seed * 31 + 7);
  const base = tinyBriefDocument(seed);
  const { catalog } = base;
  const sort = pick(draw, ['any', 'each side', 'gathered', 'end'] as const);
  const sizes: readonly (readonly [number, number, number])[] = sort === 'gathered' ? [[2, 2, 2], [3, 2, 2]] : [[3, 2, 2], [3, 1, 3], [2, 2, 3], [4, 2, 1], [4, 1, 2], [3, 2, 1]];
  const [width, depth, north] = pick(draw, sizes);
  const length = Math.min(width - (sort === 'any' || sort === 'each side' ? 0 : 1), catalog.wagons.wagon.length, between(draw, 1, 3));
  const at = sort === 'end' || sort === 'gathered' ? 0 : draw(width - length + 1);
  const isAround = sort === 'end' || (sort === 'gathered' ? chance(draw, 50) : chance(draw, 25));
  const spotting = !isAround && chance(draw, 25) ? 1 : 0;
  const { belt } = base.exits[0];
  const target = chance(draw, 60) ? { fill: `${between(draw, 1, 5)}/12` } : targetDocument(draw, catalog, catalog.belts[belt as 'slow'].speed, sort === 'each side' ? 2 : 1);
  const exit = (edge: 'N' | 'E' | 'S' | 'W') => {
    const [first, last] = edge === 'N' || edge === 'S' ? [0, width - 1] : sort === 'end' ? [-2, -1] : [-2 - north, depth - 1];
    const from = chance(draw, 75) ? first : between(draw, first, last);
    return { edge, from, to: last, belt, target };
  };
  const edges = {
    any: [pick(draw, ['N', 'N', 'S', 'E', 'W'] as const)],
    'each side': ['N', 'S'] as const,
    gathered: ['S'] as const,
    end: ['E'] as const,
  }[sort];
  const kept = sort === 'gathered' ? [[0, 0, length, 1]] : chance(draw, 20) ? [[draw(width), -2 - north + draw(depth + north + 2), 1, 1]] : [];
  const long = { underpass: { speed: catalog.belts.slow.speed, span: between(draw, 3, 4), cost: between(draw, 1, 2) } };
  return {
    ...base,
    catalog: {
      ...catalog,
      underpasses: sort === 'gathered' && !isAround ? long : catalog.underpasses,
      wagons: { wagon: { ...catalog.wagons.wagon, length, coupling: 0 } },
    },
    site: { width, depth, north, ...(isAround ? { track: { to: at + length - 1 } } : {}), ...(kept.length > 0 ? { keepOut: kept } : {}) },
    wagons: [{ model: 'wagon', at }],
    exits: edges.map(exit),
    target: undefined,
    feed: pick(draw, ['direct', 'direct', 'direct', 'either', 'chests'] as const),
    spotting,
  };
}

/** Undefined where the document asks for what can't be (an exit under the wagon, say). */
export function readBrief(document: { readonly catalog: unknown }): Brief | undefined {
  const catalog = parseCatalog(document.catalog);
  if (!catalog.ok) throw new Error(JSON.stringify(catalog.findings));
  const brief = parseBrief(document, catalog.value);
  return brief.ok ? brief.value : undefined;
}

/** Seeds of `count` briefs, and of a third as many again of several exits and wagons. */
export const mixedSeeds = (first: number, count: number): readonly (readonly [seed: number, several: boolean])[] => [
  ...Array.from({ length: count }, (_, i) => [first + i, false] as const),
  ...Array.from({ length: Math.ceil(count / 3) }, (_, i) => [first + i, true] as const),
];

/** All of these, each with words for where it comes from: of one side as `mixedSeeds`, and half of `count` with two. */
export function* mixedBriefs(first: number, count: number): Generator<readonly [where: string, brief: Brief]> {
  for (const [seed, several] of mixedSeeds(first, count)) {
    const brief = tinyBrief(seed, several);
    if (brief !== undefined) yield [`seed ${seed}${several ? ', several' : ''}`, brief];
  }
  for (let seed = first; seed < first + count / 2; seed++) {
    const brief = tinySidesBrief(seed);
    if (brief !== undefined) yield [`seed ${seed}, two sides`, brief];
  }
}

export const tinySidesBrief = (seed: number): Brief | undefined => readBrief(tinySidesDocument(seed));

export const tinyBrief = (seed: number, several = false): Brief | undefined => readBrief(tinyBriefDocument(seed, several));
