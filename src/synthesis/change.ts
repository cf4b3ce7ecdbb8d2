/**
 * Changes of a brief: how each is applied, and which lie near a brief, from the least of a kind to the
 * greatest. Which of them work is for `nearest-changes.ts` to find out.
 */
import { topOf } from '../base/ground.js';
import { ONE, isLess, ratio, type Rational } from '../base/rational.js';
import type { Brief, ExitDemand } from '../brief/brief.js';
import type { EntryDemand, LoadJob } from '../brief/load-job.js';
import type { Change } from './outcome.js';

/** Changes of one kind in rising order. */
export type Ladder = readonly Change[];

/**
 * Whether whatever works with one change of a ladder works with each later one. Edges move with a site that grows, and belts
 * with them, which may go beyond a limit; a longer wagon closes edges.
 */
export const rises = ([first]: Ladder): boolean => first?.kind !== 'site' && first?.kind !== 'wagon-length';

const times = (exit: ExitDemand, share: Rational): ExitDemand => ({
  ...exit,
  target: { total: exit.target.total.mul(share), left: exit.target.left.mul(share), right: exit.target.right.mul(share) },
});

/** Every target times `share`; a wagon has that much longer, or less long, to be full. */
const loadTimes = (job: LoadJob, share: Rational): LoadJob => ({
  entries: job.entries.map((entry) => ({ ...entry, target: entry.target.mul(share) })),
  together: job.together?.mul(share),
  fullTicks: job.fullTicks?.div(share),
});

function applied(brief: Brief, change: Change): Brief {
  switch (change.kind) {
    case 'limit':
      return { ...brief, limits: { ...brief.limits, [change.limit]: change.to } };
    case 'imbalance':
    case 'dwell':
    case 'trainsPerHour':
      return { ...brief, limits: { ...brief.limits, [change.kind]: change.to } };
    case 'target':
      return {
        ...brief,
        exits: brief.exits.map((exit) => times(exit, change.share)),
        together: brief.together?.mul(change.share),
        ...(brief.load === undefined ? {} : { load: loadTimes(brief.load, change.share) }),
      };
    case 'site':
      return { ...brief, site: { ...brief.site, [change.side]: change.to } };
    case 'exit-range':
      return { ...brief, exits: brief.exits.map((exit, e) => (e === change.exit ? { ...exit, from: change.from, to: change.to } : exit)) };
    case 'entry-range': {
      const { entry, from, to } = change;
      return brief.load === undefined ? brief : { ...brief, load: { ...brief.load, entries: brief.load.entries.map((each, e) => (e === entry ? { ...each, from, to } : each)) } };
    }
    case 'keep-out':
      return { ...brief, site: { ...brief.site, keepOut: brief.site.keepOut.filter((box) => box !== change.box) } };
    case 'presence':
      return { ...brief, presence: change.to };
    case 'wagon-length':
      return {
        ...brief,
        wagons: brief.wagons.map((wagon, w) => (w === change.wagon ? { ...wagon, model: { ...wagon.model, length: change.to } } : wagon)),
      };
    case 'feed':
      return { ...brief, feed: change.to };
    case 'spotting':
      return { ...brief, spotting: change.to };
  }
}

/** The brief with these changes; its other words stay. */
export const changed = (brief: Brief, changes: readonly Change[]): Brief => changes.reduce(applied, brief);

const MOST_SITE = 200;
const MOST_ADDED = 3;
const MOST_BOXES = 6;
/** Shares are tried in steps of 1 / SHARES. */
const SHARES = 20;

const upTo = (count: number): readonly number[] => Array.from({ length: Math.max(0, count) }, (_, index) => index + 1);

/** Nineteen twentieths of the targets, then less and less. */
export const lowerTargets = (): Ladder =>
  upTo(SHARES - 1).map((less): Change => ({ kind: 'target', share: ratio(SHARES - less, SHARES) }));

function moreSite({ site }: Brief, side: 'depth' | 'width' | 'north'): Ladder {
  const now = site[side];
  return now === undefined ? [] : upTo(Math.min(MOST_ADDED, MOST_SITE - now)).map((more): Change => ({ kind: 'site', side, to: now + more }));
}

function widerRange({ site }: Brief, { edge, from, to }: ExitDemand | EntryDemand, change: (from: number, to: number) => Change): Ladder {
  const [first, last] = edge === 'N' || edge === 'S' ? [0, site.width - 1] : [topOf(site), site.depth - 1];
  return upTo(Math.max(from - first, last - to)).map(
    (more): Change => change(Math.max(first, from - more), Math.min(last, to + more)),
  );
}

/** Room for parts and belts. */
export const roomLadders = (brief: Brief): readonly Ladder[] => [
  moreSite(brief, 'depth'),
  moreSite(brief, 'width'),
  moreSite(brief, 'north'),
  ...brief.exits.map((demand, exit) => widerRange(brief, demand, (from, to) => ({ kind: 'exit-range', exit, from, to }))),
  ...(brief.load?.entries ?? []).map((demand, entry) => widerRange(brief, demand, (from, to) => ({ kind: 'entry-range', entry, from, to }))),
  ...brief.site.keepOut.slice(0, MOST_BOXES).map((box): Ladder => [{ kind: 'keep-out', box }]),
];

/** What comes out of the wagons, or gets into them. */
export function supplyLadders(brief: Brief): readonly Ladder[] {
  const { wagons, site, presence, spotting, feed, catalog } = brief;
  const longer = wagons.map(({ at, model }, wagon): Ladder => {
    const end = at + model.length;
    const next = wagons.reduce((least, other) => (other.at >= end ? Math.min(least, other.at) : least), site.width);
    return upTo(Math.min(MOST_ADDED, next - end)).map((more): Change => ({ kind: 'wagon-length', wagon, to: model.length + more }));
  });
  return [
    upTo(SHARES)
      .map((n) => ratio(n, SHARES))
      .filter((share) => isLess(presence, share) && !isLess(ONE, share))
      .map((to): Change => ({ kind: 'presence', to })),
    ...longer,
    feed === 'either' || (feed === 'direct' && catalog.chests.length === 0) ? [] : [{ kind: 'feed', to: 'either' }],
    upTo(spotting).map((less): Change => ({ kind: 'spotting', to: spotting - less })),
  ];
}
