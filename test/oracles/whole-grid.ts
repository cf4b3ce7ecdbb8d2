/**
 * A brief as one integer program over the whole grid: a binary per tile, part and heading, a flow per
 * lane, and for each arm the most it could ever deliver. It knows nothing of ticks beyond that, so its
 * optimum is never above the cost of the cheapest layout that meets the brief: a test oracle on tiny
 * sites, and the baseline of the bench. It shares no formula with `src/synthesis`, on purpose.
 * Left out, as all of it only makes layouts dearer: rings, staggered starts, spotting, imbalance.
 */
import {
  HEADINGS,
  backOf,
  boxHolds,
  leftOf,
  rightHalfOf,
  rightOf,
  stepFrom,
  type Heading,
  type Tile,
} from '../../src/base/geometry.js';
import { invariant } from '../../src/base/invariant.js';
import { ratio, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import type { ArmModel, Catalog } from '../../src/catalog/catalog.js';
import { isOnTrack, isWithin, tilesWithin } from '../../src/base/ground.js';
import { costOf, tilesOf, wagonAt, type Layout, type Part, type PlacedExit } from '../../src/layout/layout.js';
import { ProgramBuilder, type Program, type Term, type VariableId } from '../../src/program/program.js';

type Lane = 0 | 1;
const LANES: readonly Lane[] = [0, 1];

export interface WholeGrid {
  readonly program: Program;
  /** Flow variables count items per tick times this. */
  readonly flowUnitsPerItem: number;
  readonly parts: readonly { readonly variable: VariableId; readonly part: Part }[];
  /** `demand` is an index into the brief's exits. */
  readonly exits: readonly { readonly variable: VariableId; readonly demand: number; readonly exit: PlacedExit }[];
}

// ------------------------------------------------------------------------------------------------------------ rates

/**
 * Whether v / P bounds every lane of this catalog. Where an item may leave the tile of its spot before
 * it is a pitch further, an exit or a tee merge can take more than that, and the program's bounds fail.
 */
export function lanesAreBounded({ unitsPerTile, pitch, turn, belts, splitters, underpasses, arms }: Catalog): boolean {
  const lengths = [unitsPerTile, turn.inner, turn.outer];
  const quarter = Math.min(...lengths.map((length) => length - Math.floor((3 * length) / 4)));
  const clears = (room: number, speed: number): boolean => (Math.floor(Math.max(0, room) / speed) + 1) * speed >= pitch;
  return arms.every(
    ({ slack }) =>
      [...belts, ...underpasses].every(({ speed }) => clears(quarter - slack, speed)) &&
      splitters.every(({ speed }) => clears(quarter - slack, speed) && clears(unitsPerTile / 2 - slack, speed)),
  );
}

/**
 * Most items per tick that a hand can empty onto one lane (`lanes` 1) or at a dividing line (2). Without
 * slack each lane takes an item once in ceil(P / v) ticks; with it, the items of a hand lie at least P
 * apart on a lane that moves by v, and the spots spread over 2 slack at most.
 */
function dropRate({ pitch }: Catalog, arm: ArmModel, speed: number, lanes: 1 | 2): Rational {
  const followers = Math.ceil(arm.payload / lanes) - 1;
  const clear = Math.ceil(pitch / speed);
  // Of an even hand at two lanes, the second lane begins one release later.
  const later = lanes === 2 && arm.payload % 2 === 0 ? Math.min(arm.releaseTicks, clear) : 0;
  const byLane =
    arm.slack === 0
      ? followers * clear + later
      : Math.max(0, Math.ceil((followers * pitch - 2 * arm.slack) / speed));
  return ratio(arm.payload, cycleTicks(arm) + Math.max((arm.payload - 1) * arm.releaseTicks, byLane));
}

/**
 * The time of an arm at a dividing line, if its flow d is shared unevenly: a hand of which n items go to
 * one half takes at least cycle + (n - 1) c ticks, c = ceil(P / v), whence on average, for the flow h to
 * that half, d (cycle - c) / payload + c h <= 1. Here without fractions (and for slack, with P / v for c,
 * less what the window spares).
 */
function lineBudget(
  { pitch }: Catalog,
  arm: ArmModel,
  speed: number,
): { readonly perItem: number; readonly perItemOfHalf: number; readonly whole: number } {
  const cycle = cycleTicks(arm);
  const { payload, slack } = arm;
  if (slack === 0) {
    const clear = Math.ceil(pitch / speed);
    return { perItem: cycle - clear, perItemOfHalf: payload * clear, whole: payload };
  }
  return { perItem: cycle * speed - pitch - 2 * slack, perItemOfHalf: payload * pitch, whole: payload * speed };
}

/** Ticks of a cycle from container to container. */
const cycleTicks = (arm: ArmModel): number => arm.grabTicks + 2 * arm.swingTicks + 1;

const greatestDivisor = (a: number, b: number): number => (b === 0 ? a : greatestDivisor(b, a % b));

/** Beyond this, rates are rounded in favour of the layout instead of being whole multiples of a unit. */
const MOST_UNITS = 100_000;

function flowUnits(rates: readonly Rational[]): number {
  let units = 1;
  for (const rate of rates) {
    const denominator = Number(rate.d);
    const common = (units / greatestDivisor(units, denominator)) * denominator;
    if (common <= MOST_UNITS) units = common;
  }
  return units;
}

// ---------------------------------------------------------------------------------------------------------- program

/** On which lanes, and where, an arm of heading `arm` drops on a carrier of heading `carrier`. */
function dropPlace(arm: Heading, carrier: Heading): { readonly lane: Lane; readonly atLine: boolean } {
  if (arm === carrier) return { lane: 1, atLine: false };
  // The lane at the right hand of an arm that looks against the carrier is its left one.
  if (arm === backOf(carrier)) return { lane: 0, atLine: true };
  return { lane: arm === rightOf(carrier) ? 1 : 0, atLine: true };
}

const key = ({ x, y }: Tile): string => `${x}_${y}`;
const edgeKey = (tile: Tile, heading: Heading): string => `${key(tile)}_${heading}`;

class Lists<T> {
  readonly #lists = new Map<string, T[]>();
  add(at: string, ...items: readonly T[]): void {
    const list = this.#lists.get(at);
    if (list === undefined) this.#lists.set(at, [...items]);
    else list.push(...items);
  }
  get(at: string): readonly T[] {
    return this.#lists.get(at) ?? [];
  }
}

const plus = (variables: readonly VariableId[]): readonly Term[] => variables.map((variable) => [1, variable]);
const minus = (variables: readonly VariableId[]): readonly Term[] => variables.map((variable) => [-1, variable]);
const scaled = (factor: number, terms: readonly Term[]): readonly Term[] =>
  terms.map(([coefficient, variable]) => [factor * coefficient, variable]);

/** A place on which arms may drop: where flow goes in, and what must stand there, with its speed. */
interface Target {
  readonly heading: Heading;
  readonly kind: 'belt' | 'splitter' | 'underpass';
  readonly models: readonly { readonly variable: VariableId; readonly speed: number }[];
  /** Which half of its splitter it is; 0 for what is none. */
  readonly half: 0 | 1;
  /** Adds a flow to the balance of a lane; of a splitter, the lane of output half 0 (left) or 1. */
  readonly receive: (flow: VariableId, lane: Lane, half: 0 | 1) => void;
}

export function wholeGridProgram(brief: Brief): WholeGrid {
  const { catalog, site, wagons, feed } = brief;
  const { pitch, belts, splitters, underpasses, arms } = catalog;
  invariant(lanesAreBounded(catalog), 'v / P bounds every lane of the catalog');
  const builder = new ProgramBuilder(brief.name, 'minimise');

  const isFree = (tile: Tile): boolean =>
    isWithin(site, tile) && !isOnTrack(site, tile) && !site.keepOut.some((box) => boxHolds(box, tile));
  const tiles: readonly Tile[] = tilesWithin(site).filter(isFree);

  const capacityOf = (speed: number): Rational => ratio(speed, pitch);
  const supplyOf = (arm: ArmModel): Rational => ratio(arm.payload, cycleTicks(arm)).mul(brief.presence);
  const speeds = [...belts, ...splitters, ...underpasses].map(({ speed }) => speed);
  const units = flowUnits([
    ...speeds.map(capacityOf),
    ...brief.exits.flatMap(({ target }) => [target.total, target.left, target.right]),
    ...(brief.together === undefined ? [] : [brief.together]),
    ...arms.flatMap((arm) => [
      supplyOf(arm),
      ...speeds.flatMap((speed) => ([1, 2] as const).map((lanes) => dropRate(catalog, arm, speed, lanes))),
    ]),
  ]);
  const atMost = (rate: Rational): number => Number(rate.mul(ratio(units)).ceil());
  const atLeast = (rate: Rational): number => Number(rate.mul(ratio(units)).floor());
  const capacity = (speed: number): number => atMost(capacityOf(speed));
  const most = Math.max(...speeds.map(capacity));

  const parts: { readonly variable: VariableId; readonly part: Part }[] = [];
  const standingOn = new Lists<VariableId>();
  const choose = (name: string, part: Part): VariableId => {
    const variable = builder.binary(name);
    parts.push({ variable, part });
    for (const tile of tilesOf(part)) standingOn.add(key(tile), variable);
    return variable;
  };

  // Carriers that pass on over an edge, as binaries; the flows that leave over it; the flows that take
  // what comes over it into the next tile. Edges are named by the tile they leave, per lane.
  const facing = new Lists<VariableId>();
  const leaving = new Lists<VariableId>();
  const taking = new Lists<VariableId>();
  const laneKey = (tile: Tile, heading: Heading, lane: Lane): string => `${edgeKey(tile, heading)}_${lane}`;
  const targets = new Lists<Target>();

  const flow = (name: string): VariableId => builder.continuous(name, 0, most);
  /** The flow into `tile` from the carrier behind it in the sense of `heading`; none where no part may stand there. */
  const arrival = (name: string, tile: Tile, heading: Heading, lane: Lane): readonly VariableId[] => {
    const behind = stepFrom(tile, backOf(heading));
    if (!isFree(behind)) return [];
    const variable = flow(name);
    taking.add(laneKey(behind, heading, lane), variable);
    return [variable];
  };
  const limit = (flows: readonly VariableId[], models: Target['models']): void => {
    const room = models.map(({ variable, speed }): Term => [-capacity(speed), variable]);
    builder.row([...plus(flows), ...room], '<=', 0);
  };

  // What goes into a carrier lane, for the balances that are closed once all arms are known.
  const inflow = new Lists<VariableId>();

  // Binaries come first, since turns and tee merges depend on neighbours' binaries.
  const beltsAt = new Map<string, Target['models']>();
  for (const tile of tiles) {
    for (const heading of HEADINGS) {
      const models = belts.map((model, m) => {
        const variable = choose(`b${m}_${edgeKey(tile, heading)}`, { kind: 'belt', at: tile, heading, model });
        return { variable, speed: model.speed };
      });
      beltsAt.set(edgeKey(tile, heading), models);
      facing.add(edgeKey(tile, heading), ...models.map(({ variable }) => variable));
    }
  }
  const splitterPlaces: { at: Tile; heading: Heading; halves: readonly Tile[]; models: Target['models'] }[] = [];
  for (const at of tiles) {
    for (const heading of HEADINGS) {
      const right = rightHalfOf(at, heading);
      if (!isFree(right) || splitters.length === 0) continue;
      const models = splitters.map((model, m) => {
        const variable = choose(`s${m}_${edgeKey(at, heading)}`, { kind: 'splitter', at, heading, model });
        return { variable, speed: model.speed };
      });
      for (const half of [at, right]) facing.add(edgeKey(half, heading), ...models.map(({ variable }) => variable));
      splitterPlaces.push({ at, heading, halves: [at, right], models });
    }
  }
  const underpassPlaces: { from: Tile; to: Tile; heading: Heading; models: Target['models'] }[] = [];
  const underpassEnds = new Lists<VariableId>();
  const longest = Math.max(0, ...underpasses.map(({ span }) => span));
  for (const from of tiles) {
    for (const heading of HEADINGS) {
      for (let apart = 1; apart <= longest; apart++) {
        const to = stepFrom(from, heading, apart);
        if (!isFree(to)) continue;
        const models = underpasses.flatMap((model, m) => {
          if (model.span < apart) return [];
          const variable = choose(`u${m}_${edgeKey(from, heading)}_${apart}`, { kind: 'underpass', from, to, model });
          return [{ variable, speed: model.speed }];
        });
        const variables = models.map(({ variable }) => variable);
        facing.add(edgeKey(to, heading), ...variables);
        for (const end of [from, to]) underpassEnds.add(edgeKey(end, heading), ...variables);
        underpassPlaces.push({ from, to, heading, models });
      }
    }
  }
  const cheapestChest = catalog.chests.toSorted((a, b) => a.cost - b.cost)[0];
  const chestAt = new Map<string, VariableId>();
  if (cheapestChest !== undefined && feed !== 'direct') {
    for (const at of tiles) chestAt.set(key(at), choose(`c_${key(at)}`, { kind: 'chest', at, model: cheapestChest }));
  }

  // Belts: from behind, by a turn (no feeder from behind or opposite), or by a tee merge (one of them).
  for (const tile of tiles) {
    for (const heading of HEADINGS) {
      const models = beltsAt.get(edgeKey(tile, heading)) ?? [];
      if (models.length === 0) continue;
      const name = edgeKey(tile, heading);
      const into = (lane: Lane): string => `b_${name}_${lane}`;
      const behind = facing.get(edgeKey(stepFrom(tile, backOf(heading)), heading));
      for (const lane of LANES) {
        const out = flow(`f_${name}_${lane}`);
        limit([out], models);
        leaving.add(laneKey(tile, heading, lane), out);
        inflow.add(`${into(lane)}_out`, out);
        inflow.add(into(lane), ...arrival(`n_${name}_${lane}`, tile, heading, lane));
      }
      // A feeder that heads to the right stands at the left-hand side, and merges into the left lane.
      for (const [from, near] of [
        [rightOf(heading), 0],
        [leftOf(heading), 1],
      ] as const) {
        if (!isFree(stepFrom(tile, backOf(from)))) continue;
        const opposite = facing.get(edgeKey(stepFrom(tile, from), backOf(from)));
        const merging = LANES.flatMap((lane) => arrival(`m_${name}_${from}_${lane}`, tile, from, lane));
        inflow.add(into(near), ...merging);
        builder.row([...plus(merging), ...scaled(-most, plus([...behind, ...opposite]))], '<=', 0);
        for (const lane of LANES) {
          const turning = arrival(`t_${name}_${from}_${lane}`, tile, from, lane);
          inflow.add(into(lane), ...turning);
          for (const others of [behind, opposite]) {
            if (others.length > 0) builder.row([...plus(turning), ...scaled(most, plus(others))], '<=', most);
          }
        }
      }
      targets.add(key(tile), {
        heading,
        kind: 'belt',
        half: 0,
        models,
        receive: (drop, lane) => inflow.add(into(lane), drop),
      });
    }
  }
  const balances: (() => void)[] = [];
  for (const name of tiles.flatMap((tile) => HEADINGS.map((heading) => edgeKey(tile, heading)))) {
    for (const lane of LANES) {
      balances.push(() => {
        const out = inflow.get(`b_${name}_${lane}_out`);
        if (out.length > 0) builder.row([...plus(inflow.get(`b_${name}_${lane}`)), ...minus(out)], '=', 0);
      });
    }
  }

  // Splitters: whatever goes in may come out at either half of the same lane side.
  for (const { at, heading, halves, models } of splitterPlaces) {
    const name = edgeKey(at, heading);
    const into = (lane: Lane): string => `s_${name}_${lane}`;
    for (const h of [0, 1] as const) {
      const half = halves[h];
      const dropped = (lane: Lane, to: 0 | 1): string => `${into(lane)}_half${to}`;
      for (const lane of LANES) {
        const entering = arrival(`i_${name}_${h}_${lane}`, half, heading, lane);
        const out = flow(`o_${name}_${h}_${lane}`);
        limit(entering, models);
        limit([out], models);
        inflow.add(into(lane), ...entering);
        inflow.add(`${into(lane)}_out`, out);
        leaving.add(laneKey(half, heading, lane), out);
        balances.push(() => {
          const drops = inflow.get(dropped(lane, h));
          if (drops.length > 0) builder.row([...plus(drops), [-1, out]], '<=', 0);
        });
      }
      targets.add(key(half), {
        heading,
        kind: 'splitter',
        half: h,
        models,
        receive: (drop, lane, to) => {
          inflow.add(into(lane), drop);
          inflow.add(dropped(lane, to), drop);
        },
      });
    }
    for (const lane of LANES) {
      balances.push(() =>
        builder.row([...plus(inflow.get(into(lane))), ...minus(inflow.get(`${into(lane)}_out`))], '=', 0),
      );
    }
  }

  // Underpasses: entries gather, pairs carry, exit ends give.
  const pairsFrom = new Lists<{ readonly flows: readonly VariableId[]; readonly models: Target['models'] }>();
  const pairsTo = new Lists<{ readonly flows: readonly VariableId[]; readonly models: Target['models'] }>();
  for (const { from, to, heading, models } of underpassPlaces) {
    const flows = LANES.map((lane) => flow(`p_${edgeKey(from, heading)}_${key(to)}_${lane}`));
    for (const carried of flows) limit([carried], models);
    pairsFrom.add(edgeKey(from, heading), { flows, models });
    pairsTo.add(edgeKey(to, heading), { flows, models });
    // Another end of the same line and heading between the two would pair with one of them.
    for (let apart = 1; ; apart++) {
      const between = stepFrom(from, heading, apart);
      if (between.x === to.x && between.y === to.y) break;
      const ends = underpassEnds.get(edgeKey(between, heading));
      for (const { variable } of models) for (const end of ends) builder.row(plus([variable, end]), '<=', 1);
    }
  }
  for (const tile of tiles) {
    for (const heading of HEADINGS) {
      const name = edgeKey(tile, heading);
      const starting = pairsFrom.get(name);
      const ending = pairsTo.get(name);
      for (const [kind, pairs] of [
        ['entry', starting],
        ['end', ending],
      ] as const) {
        if (pairs.length === 0) continue;
        const models = pairs.flatMap((pair) => pair.models);
        targets.add(key(tile), {
          heading,
          kind: 'underpass',
          half: 0,
          models,
          receive: (drop, lane) => inflow.add(`${kind}_${name}_${lane}`, drop),
        });
        for (const lane of LANES) {
          const carried = pairs.map(({ flows }) => flows[lane]);
          if (kind === 'entry') {
            inflow.add(`entry_${name}_${lane}`, ...arrival(`e_${name}_${lane}`, tile, heading, lane));
            balances.push(() => builder.row([...plus(inflow.get(`entry_${name}_${lane}`)), ...minus(carried)], '=', 0));
          } else {
            const out = flow(`q_${name}_${lane}`);
            limit([out], models);
            leaving.add(laneKey(tile, heading, lane), out);
            inflow.add(`end_${name}_${lane}`, ...carried);
            balances.push(() => builder.row([...plus(inflow.get(`end_${name}_${lane}`)), [-1, out]], '=', 0));
          }
        }
      }
    }
  }

  // Arms: from a wagon into a chest, from a chest or (if the brief lets it) a wagon onto a carrier.
  const filling = new Lists<VariableId>();
  const draining = new Lists<VariableId>();
  for (const at of tiles) {
    for (const heading of HEADINGS) {
      arms.forEach((model, m) => {
        const pick = stepFrom(at, backOf(heading), model.reach);
        const place = stepFrom(at, heading, model.reach);
        if (!isFree(place)) return;
        const fromWagon = wagonAt(wagons, pick) !== undefined;
        const source = chestAt.get(key(pick));
        const drops = fromWagon ? feed !== 'chests' : source !== undefined;
        const filled = fromWagon ? chestAt.get(key(place)) : undefined;
        if (!drops && filled === undefined) return;

        const name = `${m}_${edgeKey(at, heading)}`;
        const arm = choose(`a${name}`, { kind: 'arm', at, heading, model });
        if (filled !== undefined) {
          const supply = atMost(supplyOf(model));
          const into = builder.continuous(`z${name}`, 0, supply);
          builder.row([[1, into], [-supply, arm]], '<=', 0);
          builder.row([[1, into], [-supply, filled]], '<=', 0);
          filling.add(key(place), into);
        }
        if (!drops) return;
        const all: VariableId[] = [];
        let greatest = 0;
        targets.get(key(place)).forEach((target, index) => {
          const { lane, atLine } = dropPlace(heading, target.heading);
          const onLine = target.kind === 'splitter' && atLine;
          const rates = target.models.map(({ variable, speed }): Term => {
            return [atMost(dropRate(catalog, model, speed, onLine ? 2 : 1)), variable];
          });
          const best = Math.max(...rates.map(([rate]) => rate));
          greatest = Math.max(greatest, best);
          // A drop at a dividing line goes to either half, one beyond it or on another carrier to one.
          const halves = onLine ? ([0, 1] as const) : [target.half];
          const drops = halves.map((half) => builder.continuous(`d${name}_${index}_${half}`, 0, best));
          builder.row([...plus(drops), ...scaled(-1, rates)], '<=', 0);
          halves.forEach((half, h) => target.receive(drops[h], lane, half));
          if (onLine) {
            const budget = lineBudget(catalog, model, Math.max(...target.models.map(({ speed }) => speed)));
            for (const drop of drops) {
              const shares = [...scaled(budget.perItem, plus(drops)), [budget.perItemOfHalf, drop] as const];
              builder.row([...shares, [-budget.whole * units, arm]], '<=', 0);
            }
          }
          all.push(...drops);
        });
        builder.row([...plus(all), [-greatest, arm]], '<=', 0);
        if (source !== undefined) {
          builder.row([...plus(all), [-greatest, source]], '<=', 0);
          draining.add(key(pick), ...all);
        }
      });
    }
  }
  for (const tile of tiles) {
    const out = draining.get(key(tile));
    if (out.length > 0) builder.row([...plus(out), ...minus(filling.get(key(tile)))], '<=', 0);
  }

  // Exits: a belt of the demand's own model at one place of its range.
  const exits: { variable: VariableId; demand: number; exit: PlacedExit }[] = [];
  const exitsOver = new Lists<VariableId>();
  const allOutflows: VariableId[] = [];
  brief.exits.forEach(({ edge, from, to, belt, target }, demand) => {
    const outflows: readonly [VariableId[], VariableId[]] = [[], []];
    const places: VariableId[] = [];
    for (const at of tiles) {
      const beyond = stepFrom(at, edge);
      const along = edge === 'N' || edge === 'S' ? at.x : at.y;
      if (isWithin(site, beyond) || along < from || along > to) continue;
      const m = belts.findIndex(({ name }) => name === belt.name);
      const standing = (beltsAt.get(edgeKey(at, edge)) ?? [])[m];
      const variable = builder.binary(`x${demand}_${key(at)}`);
      builder.row([[1, variable], [-1, standing.variable]], '<=', 0);
      for (const lane of LANES) {
        const out = flow(`x${demand}_${key(at)}_${lane}`);
        builder.row([[1, out], [-capacity(belt.speed), variable]], '<=', 0);
        taking.add(laneKey(at, edge, lane), out);
        outflows[lane].push(out);
      }
      places.push(variable);
      exitsOver.add(edgeKey(at, edge), variable);
      exits.push({ variable, demand, exit: { at, heading: edge, take: undefined } });
    }
    builder.row(plus(places), '=', 1);
    allOutflows.push(...outflows.flat());
    builder.row(plus(outflows.flat()), '>=', atLeast(target.total));
    builder.row(plus(outflows[0]), '>=', atLeast(target.left));
    builder.row(plus(outflows[1]), '>=', atLeast(target.right));
  });
  if (brief.together !== undefined) builder.row(plus(allOutflows), '>=', atLeast(brief.together));

  for (const tile of tiles) {
    builder.row(plus(standingOn.get(key(tile))), '<=', 1, `tile_${key(tile)}`);
    for (const heading of HEADINGS) {
      const over = exitsOver.get(edgeKey(tile, heading));
      if (over.length > 1) builder.row(plus(over), '<=', 1);
      for (const lane of LANES) {
        const at = laneKey(tile, heading, lane);
        const [out, taken] = [leaving.get(at), taking.get(at)];
        if (out.length + taken.length > 0) builder.row([...plus(out), ...minus(taken)], '=', 0);
      }
    }
  }
  for (const close of balances) close();

  const cost = parts.map(({ variable, part }): Term => [costOf(part), variable]);
  const count = parts.map(({ variable, part }): Term => [part.kind === 'underpass' ? 2 : 1, variable]);
  if (brief.limits.cost !== undefined) builder.row(cost, '<=', brief.limits.cost);
  if (brief.limits.parts !== undefined) builder.row(count, '<=', brief.limits.parts);
  if (brief.limits.arms !== undefined) {
    const placed = parts.flatMap(({ variable, part }) => (part.kind === 'arm' ? [variable] : []));
    builder.row(plus(placed), '<=', brief.limits.arms);
  }
  builder.objective(brief.minimise[0] === 'parts' ? count : cost);
  return { program: builder.build(), flowUnitsPerItem: units, parts, exits };
}

/** The layout that an answer to the program stands for; exits in the order of the brief's demands. */
export function decodeWholeGrid(brief: Brief, grid: WholeGrid, values: readonly number[]): Layout {
  const chosen = <T extends { readonly variable: VariableId }>(list: readonly T[]): readonly T[] =>
    list.filter(({ variable }) => values[variable] === 1);
  return {
    name: brief.name,
    catalog: brief.catalog,
    site: brief.site,
    wagons: brief.wagons,
    parts: chosen(grid.parts).map(({ part }) => part),
    exits: chosen(grid.exits)
      .toSorted((a, b) => a.demand - b.demand)
      .map(({ exit }) => exit),
  };
}

/**
 * The program with the choice of parts and exits fixed to a layout's, so that only flows are left to
 * find; `layout.exits[i]` is to be the exit of the brief's demand i. Arms that can do nothing useful
 * have no variable and are passed over, and every chest counts as the cheapest.
 */
export function fixToLayout(grid: WholeGrid, layout: Layout): Program {
  const name = (part: Part): string => {
    const { kind, model } = part;
    const where = tilesOf(part).map(key).join(' ');
    if (kind === 'chest') return `chest ${where}`;
    return `${kind} ${model.name} ${where} ${'heading' in part ? part.heading : ''}`;
  };
  const placed = new Set(layout.parts.map(name));
  const fixed = new Map<number, number>();
  for (const { variable, part } of grid.parts) {
    fixed.set(variable, placed.has(name(part)) ? 1 : 0);
    placed.delete(name(part));
  }
  const missing = layout.parts.filter((part) => part.kind !== 'arm' && placed.has(name(part)));
  invariant(missing.length === 0, 'every part but idle arms has a variable', { missing: missing.map(name) });
  for (const { variable, demand, exit } of grid.exits) {
    const { at, heading } = layout.exits[demand];
    fixed.set(variable, key(at) === key(exit.at) && heading === exit.heading ? 1 : 0);
  }
  return {
    ...grid.program,
    variables: grid.program.variables.map((variable, index) => {
      const value = fixed.get(index);
      return value === undefined ? variable : { ...variable, lower: value, upper: value };
    }),
  };
}
