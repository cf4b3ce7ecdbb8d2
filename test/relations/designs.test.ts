/**
 * What must follow for the cost of a design when its brief is changed: shifted, mirrored, given more room, a dearer
 * part, a lower target, a wider exit. Each relation counts the briefs it applied to, and fails at none.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs.
 * No law is asked of flows: a faster arm or belt may give less (world rules, section 9).
 */
import { describe, expect, it } from 'vitest';
import { rightHalfOf, type Heading, type Tile } from '../../src/base/geometry.js';
import { isLess, ONE, ratio, ZERO } from '../../src/base/rational.js';
import type { Brief, Edge, ExitDemand } from '../../src/brief/brief.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import { layoutCost, type Layout, type Part } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { totalDemand } from '../../src/synthesis/site/site-map.js';
import { SEED } from '../documents.js';
import { compareMeasures, designFor, measuresOf, verification } from '../oracles/compare-designs.js';
import { mixedSeeds, tinyBrief, tinyBriefDocument } from '../oracles/random-briefs.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '60');
const SECONDS = 1;

type Answer =
  | { readonly kind: 'cost'; readonly cost: number; readonly layout: Layout }
  | { readonly kind: 'none' }
  /** Not settled in its time. */
  | { readonly kind: 'open' };

const solver = await loadGlpkSolver();

async function answer(brief: Brief): Promise<Answer> {
  const outcome = await designFor(brief, solver, SECONDS);
  if (outcome.status === 'optimal') return { kind: 'cost', cost: layoutCost(outcome.layout), layout: outcome.layout };
  return { kind: outcome.status === 'infeasible' ? 'none' : 'open' };
}

interface Base {
  readonly seed: number;
  readonly several: boolean;
  readonly brief: Brief;
  readonly cost: number;
  readonly layout: Layout;
}

const bases: Base[] = [];
for (const [seed, several] of mixedSeeds(SEED, BRIEFS)) {
  const brief = tinyBrief(seed, several);
  if (brief === undefined) continue;
  const found = await answer(brief);
  if (found.kind === 'cost') bases.push({ seed, several, brief, cost: found.cost, layout: found.layout });
}

/** Runs a relation on every brief to which it applies (`change` gives undefined elsewhere); to how many it did. */
async function relate(
  change: (base: Base) => Brief | undefined,
  check: (base: Base, changed: Brief, cost: number, layout: Layout | undefined) => string | undefined,
): Promise<number> {
  let applied = 0;
  for (const base of bases) {
    const changed = change(base);
    if (changed === undefined) continue;
    const after = await answer(changed);
    if (after.kind === 'open') continue;
    applied++;
    const [cost, layout] = after.kind === 'cost' ? [after.cost, after.layout] : [Infinity, undefined];
    const broken = check(base, changed, cost, layout);
    if (broken !== undefined) expect.fail(`seed ${base.seed}: ${broken}\n${JSON.stringify(tinyBriefDocument(base.seed, base.several))}`);
  }
  return applied;
}

const neverDearer = ({ cost }: Base, _: Brief, after: number): string | undefined =>
  after > cost ? `${cost} before, ${after} after` : undefined;

const withExits = (brief: Brief, change: (exit: ExitDemand) => ExitDemand): Brief => ({
  ...brief,
  exits: brief.exits.map(change),
});
const isUpright = (edge: Edge): boolean => edge === 'N' || edge === 'S';
const lastOf = ({ site }: Brief, edge: Edge): number => (isUpright(edge) ? site.width : site.depth) - 1;

const MIRRORED: Readonly<Record<Heading, Heading>> = { N: 'N', E: 'W', S: 'S', W: 'E' };

function mirroredBrief(brief: Brief): Brief {
  const { width } = brief.site;
  return {
    ...brief,
    site: { ...brief.site, keepOut: brief.site.keepOut.map((box) => ({ ...box, x: width - box.x - box.width })) },
    wagons: brief.wagons.map((wagon) => ({ ...wagon, at: width - wagon.at - wagon.model.length })),
    exits: brief.exits.map((exit) => ({
      ...exit,
      edge: MIRRORED[exit.edge],
      ...(isUpright(exit.edge) ? { from: width - 1 - exit.to, to: width - 1 - exit.from } : {}),
      target: { ...exit.target, left: exit.target.right, right: exit.target.left },
    })),
  };
}

/** The mirror image of a layout, on the site of the mirrored brief. */
function mirroredLayout(layout: Layout, { site, wagons }: Brief): Layout {
  const flip = ({ x, y }: Tile): Tile => ({ x: site.width - 1 - x, y });
  const image = (part: Part): Part => {
    switch (part.kind) {
      case 'chest':
        return { ...part, at: flip(part.at) };
      case 'underpass':
        return { ...part, from: flip(part.from), to: flip(part.to) };
      case 'splitter':
        return { ...part, at: flip(rightHalfOf(part.at, part.heading)), heading: MIRRORED[part.heading] };
      default:
        return { ...part, at: flip(part.at), heading: MIRRORED[part.heading] };
    }
  };
  const exits = layout.exits.map((exit) => ({ ...exit, at: flip(exit.at), heading: MIRRORED[exit.heading] }));
  return { ...layout, site, wagons, parts: layout.parts.map(image), exits };
}

/** Names of the models of a layout's parts, an underpass twice: what the catalog's costs are paid for. */
const modelsOf = (layout: Layout): readonly string[] =>
  layout.parts.flatMap((part) => (part.kind === 'underpass' ? [part.model.name, part.model.name] : [part.model.name]));

function dearer(catalog: Catalog, name: string, by: number): Catalog {
  const raise = <T extends { readonly name: string; readonly cost: number }>(models: readonly T[]): readonly T[] =>
    models.map((model) => (model.name === name ? { ...model, cost: model.cost + by } : model));
  return {
    ...catalog,
    belts: raise(catalog.belts),
    splitters: raise(catalog.splitters),
    underpasses: raise(catalog.underpasses),
    arms: raise(catalog.arms),
    chests: raise(catalog.chests),
  };
}

describe(`designs of related briefs (from seed ${SEED}, ${bases.length} of ${BRIEFS} with a design)`, { timeout: 600_000 }, () => {
  it('shifted along the wagon: the same measures', async () => {
    const applied = await relate(
      ({ brief }) => {
        if (brief.exits.some(({ edge }) => edge === 'W')) return undefined;
        const { width, depth, keepOut } = brief.site;
        const boxes = [{ x: 0, y: 0, width: 1, height: depth }, ...keepOut.map((box) => ({ ...box, x: box.x + 1 }))];
        const wagons = brief.wagons.map((wagon) => ({ ...wagon, at: wagon.at + 1 }));
        const shifted = { ...brief, site: { width: width + 1, depth, keepOut: boxes }, wagons };
        return withExits(shifted, (exit) => (isUpright(exit.edge) ? { ...exit, from: exit.from + 1, to: exit.to + 1 } : exit));
      },
      ({ layout }, _, cost, after) => {
        const [before, now] = [measuresOf(layout), after === undefined ? undefined : measuresOf(after)];
        if (now !== undefined && compareMeasures(before, now) === 0) return undefined;
        return `${before.join()} before, ${now?.join() ?? cost} after`;
      },
    );
    expect(applied).toBeGreaterThan(0);
  });

  it('mirrored: as cheap, unless the mirror image of the cheaper design fails', async () => {
    let alike = 0;
    const applied = await relate(
      ({ brief }) => mirroredBrief(brief),
      ({ brief, cost, layout }, mirrored, after, other) => {
        if (after === cost) {
          alike++;
          return undefined;
        }
        // Toggles start left, arms act in the order of (y, x) and drop on the right lane of a belt that heads as they do.
        const image = after > cost ? mirroredLayout(layout, mirrored) : other && mirroredLayout(other, brief);
        const passes = image !== undefined && verification(image, after > cost ? mirrored : brief).passes;
        return passes ? `${cost}, mirrored ${after}, though the image of the cheaper one passes` : undefined;
      },
    );
    expect(applied).toBeGreaterThan(0);
    // Many of these briefs ask for one lane, which tells left from right.
    expect(alike).toBeGreaterThan(applied / 4);
  });

  it('more room beyond the east edge: never dearer', async () => {
    const applied = await relate(({ brief }) => {
      if (brief.exits.some(({ edge }) => edge === 'E')) return undefined;
      return { ...brief, site: { ...brief.site, width: brief.site.width + 1 } };
    }, neverDearer);
    expect(applied).toBeGreaterThan(0);
  });

  it('without the tiles kept out: never dearer', async () => {
    const applied = await relate(
      ({ brief }) => (brief.site.keepOut.length === 0 ? undefined : { ...brief, site: { ...brief.site, keepOut: [] } }),
      neverDearer,
    );
    expect(applied).toBeGreaterThan(0);
  });

  it('a dearer part: never cheaper, and no more than the old design now costs', async () => {
    const applied = await relate(
      ({ brief, layout, seed }) => {
        const names = [...new Set(modelsOf(layout))].sort();
        const catalog = dearer(brief.catalog, names[seed % names.length], 1 + (seed % 3));
        const belt = (old: ExitDemand): ExitDemand => ({
          ...old,
          belt: catalog.belts.find(({ name }) => name === old.belt.name) ?? old.belt,
        });
        return withExits({ ...brief, catalog }, belt);
      },
      ({ brief, cost, layout }, { catalog }, after) => {
        const names = modelsOf(layout);
        const rise = (['belts', 'splitters', 'underpasses', 'arms', 'chests'] as const)
          .flatMap((kind) => catalog[kind].map((model, m) => ({ name: model.name, by: model.cost - brief.catalog[kind][m].cost })))
          .reduce((sum, { name, by }) => sum + by * names.filter((own) => own === name).length, 0);
        if (after >= cost && after <= cost + rise) return undefined;
        return `${cost} before, the old design ${cost + rise}, the new one ${after}`;
      },
    );
    expect(applied).toBeGreaterThan(0);
  });

  it('a lower target: never dearer', async () => {
    const share = ratio(3, 4);
    const applied = await relate(
      ({ brief }) =>
        withExits({ ...brief, together: brief.together?.mul(share) }, (exit) => {
          const { total, left, right } = exit.target;
          return { ...exit, target: { total: total.mul(share), left: left.mul(share), right: right.mul(share) } };
        }),
      neverDearer,
    );
    expect(applied).toBeGreaterThan(0);
  });

  it('the same total from whichever lanes: never dearer', async () => {
    const applied = await relate(({ brief }) => {
      const ofLanes = brief.exits.some(({ target }) => target.left.compare(ZERO) > 0 || target.right.compare(ZERO) > 0);
      if (!ofLanes) return undefined;
      return withExits(brief, (exit) => ({ ...exit, target: { ...exit.target, left: ZERO, right: ZERO } }));
    }, neverDearer);
    expect(applied).toBeGreaterThan(0);
  });

  it('the sum of the targets from whichever exits: never dearer, and as dear from one exit', async () => {
    let single = 0;
    const applied = await relate(
      ({ brief }) => {
        const none = { total: ZERO, left: ZERO, right: ZERO };
        if (brief.exits.some(({ target }) => isLess(ZERO, target.left.add(target.right)))) return undefined;
        return withExits({ ...brief, together: totalDemand(brief) }, (exit) => ({ ...exit, target: none }));
      },
      (base, changed, after) => {
        if (base.brief.exits.length > 1) return neverDearer(base, changed, after);
        single++;
        return after === base.cost ? undefined : `${base.cost} before, ${after} after`;
      },
    );
    expect(Math.min(single, applied - single)).toBeGreaterThan(0);
  });

  it('the sum of the targets as a common one beside them: the same measures', async () => {
    const applied = await relate(
      ({ brief }) => (brief.together === undefined ? { ...brief, together: totalDemand(brief) } : undefined),
      ({ layout }, _, cost, after) => {
        const [before, now] = [measuresOf(layout), after === undefined ? undefined : measuresOf(after)];
        if (now !== undefined && compareMeasures(before, now) === 0) return undefined;
        return `${before.join()} before, ${now?.join() ?? cost} after`;
      },
    );
    expect(applied).toBeGreaterThan(0);
  });

  it('a wider exit: never dearer', async () => {
    const applied = await relate(({ brief }) => {
      if (brief.exits.every((exit) => exit.from === 0 && exit.to === lastOf(brief, exit.edge))) return undefined;
      return withExits(brief, (exit) => {
        const [from, to] = [Math.max(0, exit.from - 1), Math.min(lastOf(brief, exit.edge), exit.to + 1)];
        return { ...exit, from, to };
      });
    }, neverDearer);
    expect(applied).toBeGreaterThan(0);
  });

  it('any feed, all of the time, from the standard start alone: never dearer', async () => {
    const applied = await relate(({ brief }) => {
      const isFree = brief.feed === 'either' && brief.presence.compare(ONE) === 0 && brief.starts === 0;
      return isFree ? undefined : { ...brief, feed: 'either', presence: ONE, starts: 0 };
    }, neverDearer);
    expect(applied).toBeGreaterThan(0);
  });

  it('its own cost as a limit: as good a design; a limit one lower: none', async () => {
    let applied = 0;
    for (const { seed, brief, cost, layout } of bases.slice(0, 25)) {
      const just = await answer({ ...brief, limits: { ...brief.limits, cost } });
      const less = await answer({ ...brief, limits: { ...brief.limits, cost: cost - 1 } });
      if (just.kind === 'open' || less.kind === 'open') continue;
      applied++;
      expect(just.kind === 'cost' ? measuresOf(just.layout) : 'none', `seed ${seed}`).toEqual(measuresOf(layout));
      expect(less.kind, `seed ${seed}`).toBe('none');
    }
    expect(applied).toBeGreaterThan(0);
  });
});
