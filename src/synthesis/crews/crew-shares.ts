/**
 * How crews are dealt out to the shares of a search. Where there are many that begin alike (`DealsOut`), all of such a group
 * belong to one share, so that each is put together once; else they are dealt out one by one, as are those of a group that
 * took long. A crew that took a good part of the time belongs to whichever share is through with its own and comes to it first;
 * one that took much of it to all, each of which goes through some of its networks (`carriers/share.ts`). These begin alike, so
 * that together they take longer than one would.
 */
import { HASH_OF_NONE, hashedWith } from '../../base/hash.js';
import { WHOLE, takesCrew, type Share } from '../carriers/share.js';
import { crewKey, type Crew } from '../site/crew.js';
import { isOfChests } from './crew-search.js';

/** Whether groups of this name are dealt out whole. No such group lies within another one. */
type DealsOut = (group: string) => boolean;

/** From so many ways of placing the chests on, these are dealt out. */
const FEWEST_CHEST_SETS = 500;

/** Of whole layouts: crews with the same chests, where these can stand in many ways. */
export const byChests = (chestSets: number): DealsOut => (chestSets >= FEWEST_CHEST_SETS ? isOfChests : () => false);

/** Of load crews: those with the same first arms. */
export const byFirstArms: DealsOut = (group) => group.split('.').length === 3;

/** What took long, by name. Once named it must stay so. */
export interface LongOnes {
  /** Groups whose crews are dealt out one by one. */
  readonly groups: readonly string[];
  /** Crews that belong to whichever share takes them first. */
  readonly loose: readonly string[];
  /** Crews of which each share has a part. */
  readonly divided: readonly string[];
}

export const NONE_LONG: LongOnes = { groups: [], loose: [], divided: [] };

export function joinLong(all: readonly LongOnes[]): LongOnes {
  const join = (names: (of: LongOnes) => readonly string[]): readonly string[] => [...new Set(all.flatMap(names))];
  return { groups: join(({ groups }) => groups), loose: join(({ loose }) => loose), divided: join(({ divided }) => divided) };
}

/** What a share has of a crew: all, nothing, all if it is the first to take it, or some. */
export type CrewPart = 'own' | 'none' | 'loose' | 'divided';

/** Steps of one share's search for the carriers of all crews of a group, or of one crew. */
const LONG_STEPS = 1_000;
/** And of one crew, of all its steps. */
const LOOSE_PART = 1 / 32;
const DIVIDED_PART = 1 / 4;

export class CrewShares {
  private readonly groups: ReadonlySet<string>;
  private readonly loose: ReadonlySet<string>;
  private readonly divided: ReadonlySet<string>;
  private readonly stepsOfGroups = new Map<string, number>();
  private readonly stepsOfCrews = new Map<string, number>();
  private total = 0;
  /** The group of those dealt out that was opened last: all crews lie in it until the next one is. */
  private group: string | undefined;

  constructor(
    readonly share: Share,
    private readonly dealsOut: DealsOut,
    { groups, loose, divided }: LongOnes,
  ) {
    this.groups = new Set(groups);
    this.loose = new Set(loose);
    this.divided = new Set(divided);
  }

  /** How many were named long. */
  get named(): number {
    return this.groups.size + this.loose.size + this.divided.size;
  }

  /** Whether any crew of a group may belong to this share. */
  mayHold(group: string): boolean {
    if (this.share.of === 1 || !this.dealsOut(group)) return true;
    this.group = group;
    return this.groups.has(group) || this.isOwn(group);
  }

  /** Of a crew of groups that may. */
  partOf(crew: Crew): CrewPart {
    if (this.share.of === 1 || (this.group !== undefined && !this.groups.has(this.group))) return 'own';
    const name = crewKey(crew);
    if (this.divided.has(name)) return 'divided';
    if (this.loose.has(name)) return 'loose';
    return this.isOwn(name) ? 'own' : 'none';
  }

  /** Whether a loose crew belongs to this share from now on. */
  takes(crew: Crew): boolean {
    return takesCrew(this.share, crew);
  }

  /** Told how many steps the networks of a crew took, or this share's part of them. */
  note(crew: Crew, part: CrewPart, steps: number): void {
    if (this.share.of === 1) return;
    this.total += steps;
    if (part === 'own' && this.group !== undefined) this.stepsOfGroups.set(this.group, (this.stepsOfGroups.get(this.group) ?? 0) + steps);
    if (part !== 'divided' && steps > LONG_STEPS) this.stepsOfCrews.set(crewKey(crew), steps);
  }

  /** What is to be named long from now on. */
  get long(): LongOnes {
    const crewsAbove = (part: number): readonly string[] => [...this.stepsOfCrews].flatMap(([name, steps]) => (steps > part * this.total ? [name] : []));
    return {
      groups: [...this.stepsOfGroups].flatMap(([name, steps]) => (steps > LONG_STEPS ? [name] : [])),
      loose: crewsAbove(LOOSE_PART),
      divided: crewsAbove(DIVIDED_PART),
    };
  }

  private isOwn(name: string): boolean {
    return placeOf(name, this.share.of) === this.share.index;
  }
}

/** All crews in one share. */
export const allCrews = (): CrewShares => new CrewShares(WHOLE, () => false, NONE_LONG);

function placeOf(name: string, of: number): number {
  let hash = HASH_OF_NONE;
  for (let i = 0; i < name.length; i++) hash = hashedWith(hash, name.charCodeAt(i));
  return ((hash ^ (hash >>> 15)) >>> 0) % of;
}
