/** Searches of which shares are taken, and what is held against what. */
import type { Brief } from '../../src/brief/brief.js';
import { layoutCost } from '../../src/layout/layout.js';
import type { LongOnes } from '../../src/synthesis/crews/crew-shares.js';
import type { ShareAnswer, WholeTask } from '../../src/synthesis/families/share-search.js';
import type { Bill } from '../../src/synthesis/site/bill.js';
import type { StartOptions } from '../../src/simulation/starts.js';
import { briefOf } from '../documents.js';

export const startsOf = (brief: Brief): StartOptions => ({ starts: brief.starts, seed: 1, tickLimit: 60_000 });
export const FLOOR = { least: 0, mostNetworks: 1, moreAt: Infinity };

interface ShareCase {
  readonly name: string;
  /** So many of its exits, the first ones, are served. */
  readonly exits: number;
  readonly bill: Bill;
  /** What its other parts cost. */
  readonly fixed: number;
  /** Of carriers. */
  readonly prices: readonly number[];
  /** How many of these find a new best station. */
  readonly finds: number;
  /** What comes to be named long on the way. */
  readonly long: readonly (keyof LongOnes)[];
}

export const CASES: readonly ShareCase[] = [
  { name: 'headline-060', exits: 1, bill: { chests: 1, fills: [1], loads: [2], splitters: [0] }, fixed: 34, prices: [8, 9, 10], finds: 1, long: [] },
  { name: 'headline-085', exits: 1, bill: { chests: 1, fills: [1], loads: [3], splitters: [1] }, fixed: 52, prices: [8, 9], finds: 0, long: [] },
  // So many ways of placing three chests that shares are of these.
  { name: 'suite-54-three-belts-060-three-wagons-18x8', exits: 1, bill: { chests: 3, fills: [3], loads: [3], splitters: [0] }, fixed: 72, prices: [8, 9], finds: 1, long: [] },
  { name: 'suite-54-three-belts-060-three-wagons-18x8', exits: 3, bill: { chests: 3, fills: [3], loads: [4], splitters: [2] }, fixed: 98, prices: [10, 11, 12, 13], finds: 0, long: [] },
  { name: 'suite-42-two-belts-085-6x8', exits: 2, bill: { chests: 2, fills: [2], loads: [4], splitters: [3] }, fixed: 84, prices: [17, 18, 19], finds: 0, long: ['loose', 'divided'] },
];

export const briefOfCase = ({ name, exits }: ShareCase): Brief => {
  const brief = briefOf(`test/cases/${name}.json`);
  return { ...brief, exits: brief.exits.slice(0, exits) };
};

export const taskOf = ({ bill, fixed }: ShareCase, carriers: number): WholeTask => ({
  of: 'layouts',
  search: 'any',
  bill,
  carriers,
  price: fixed + carriers,
  floor: FLOOR,
  known: [],
  best: undefined,
});

/** What has to be the same, however a search is shared. */
export const gist = (answers: readonly ShareAnswer[]): object => ({
  next: Math.min(...answers.map(({ next }) => next)),
  costs: [...new Set(answers.flatMap(({ better }) => (better === undefined ? [] : [layoutCost(better)])))],
  exits: [...new Set(answers.flatMap(({ better }) => better?.exits.map(({ heading }) => heading) ?? []))],
});
