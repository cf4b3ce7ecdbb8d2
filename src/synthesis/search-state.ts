/**
 * What a design run that was stopped knows, as plain data, and its way into JSON and back
 * (`models/schemas/search.schema.json`). Who goes on from a state takes its prices on trust: what is checked
 * is that they can be prices of this brief. The best layout is not taken on trust, but tried again. Runs
 * themselves are in `design.ts`.
 */
import type { Checked, Finding } from '../base/finding.js';
import { findingsBeneath, pointerTo } from '../base/json-pointer.js';
import { checkSchema, shown, type SchemaCode } from '../base/schema-check.js';
import type { Brief } from '../brief/brief.js';
import { writeBrief } from '../brief/write-brief.js';
import { entriesOf, type Layout, type PlacedEntry, type PlacedExit } from '../layout/layout.js';
import { parsePlan, type PlanCode } from '../layout/parse-plan.js';
import { writeParts, type JsonObject } from '../layout/write-plan.js';
import { countsOf, type Bill } from './site/bill.js';
import { billProgram } from './bills/bill-program.js';
import { candidates } from './site/candidates.js';
import { CrewMemories } from './crews/crew-prices.js';
import type { GroundCosts } from './networks/network-kinds.js';
import { priceOf, siteMap, type Price, type SiteMap } from './site/site-map.js';
import { keepsToFlowLimits } from './site/train-bounds.js';
import type { Verify } from './verifier.js';

interface FamilyState {
  readonly bill: Bill;
  /** Price of its parts, carriers apart. */
  readonly fixed: number;
  /** Every layout of the bill that has not been searched costs at least this; Infinity: none is left. */
  readonly price: number;
  readonly crews: CrewMemories;
}

export interface LoadingProgress {
  /** So many forests of carriers, in their order, have had all their crews. */
  readonly forests: number;
  /** Least price above that one at which some of their crews may do; Infinity: none does. */
  readonly next: number;
}

export interface RunState {
  /** What prices add up. A brief with a limit on the other measure has a run for that limit first. */
  readonly price: Price;
  readonly rounds: number;
  readonly simulations: number;
  readonly seconds: number;
  /** Every layout of a bill that has not been proposed costs at least this; Infinity: there is none. Where wagons are filled, all are such. */
  readonly restBound: number;
  /** How far the search at that price had come, where wagons are filled; there are no families and no networks then. */
  readonly loading?: LoadingProgress | undefined;
  /** Price of the cheapest layout whose simulation came to no end; Infinity: none so far. */
  readonly undecided: number;
  readonly families: readonly FamilyState[];
  readonly networks: readonly GroundCosts[];
  /** Preferred of all that passed. */
  readonly best: Layout | undefined;
}

/** What a saved search rests on, apart from its brief. */
export interface SearchSettings {
  readonly version: string;
  readonly solver: string;
  readonly seed: number;
}

export type SearchCode =
  | SchemaCode
  | PlanCode
  | 'search-other-version'
  | 'search-other-solver'
  | 'search-other-seed'
  | 'search-other-brief'
  | 'search-other-price'
  | 'search-other-job'
  | 'search-counts'
  | 'search-exits'
  | 'search-price'
  | 'search-repeats'
  | 'search-best';

const SEARCH_FORMAT = 'transloom-search/1';

interface KindFile {
  readonly loads: readonly number[];
  readonly splitters: readonly number[];
  readonly chests: number;
  readonly least?: number;
  readonly found: boolean;
  readonly crews: readonly string[];
}

/** The file as its schema describes it. */
interface SearchFile extends SearchSettings {
  readonly format: typeof SEARCH_FORMAT;
  readonly brief: unknown;
  readonly price: Price;
  readonly rounds: number;
  readonly simulations: number;
  readonly seconds: number;
  readonly rest?: number;
  readonly undecided?: number;
  readonly families: readonly { readonly bill: Bill; readonly fixed: number; readonly price?: number; readonly mostNetworks: number; readonly crews: readonly string[] }[];
  readonly networks: readonly { readonly exits: readonly number[]; readonly kinds: readonly KindFile[] }[];
  readonly loading?: { readonly forests: number; readonly next?: number };
  readonly best?: { readonly parts: readonly unknown[]; readonly exits: readonly unknown[]; readonly entries?: readonly unknown[] };
}

/** Prices without end are left out. */
const finite = (field: string, price: number): Readonly<Record<string, number>> => (price === Infinity ? {} : { [field]: price });

const NONE = 'none';
const priceText = (price: number): string => (price === Infinity ? NONE : String(price));
const readPrice = (text: string): number => (text === NONE ? Infinity : Number(text));

/** "12.2.0.18 15.2.0.21 = 46": the crew, and the least price that is left. */
const writeCrews = (crews: CrewMemories): readonly string[] => [...crews].map(([key, price]) => `${key} = ${priceText(price)}`);

const readCrews = (lines: readonly string[], mostNetworks?: number): CrewMemories =>
  new CrewMemories(
    lines.map((line) => {
      const [key, price] = line.split(' = ');
      return [key, readPrice(price)];
    }),
    mostNetworks,
  );

/** Exits and entries in the brief's order. */
function writeBest(layout: Layout): JsonObject {
  const edge = ({ at, heading }: PlacedEntry | PlacedExit): JsonObject => ({ at: [at.x, at.y], heading });
  const entries = entriesOf(layout).map(edge);
  return { parts: writeParts(layout), exits: layout.exits.map(edge), ...(entries.length === 0 ? {} : { entries }) };
}

export function writeSearch(state: RunState, brief: Brief, { version, solver, seed }: SearchSettings): JsonObject {
  const { price, rounds, simulations, seconds, restBound, undecided, families, networks, best, loading } = state;
  return {
    format: SEARCH_FORMAT,
    version,
    solver,
    seed,
    brief: writeBrief(brief),
    price,
    rounds,
    simulations,
    seconds,
    ...finite('rest', restBound),
    ...finite('undecided', undecided),
    ...(loading === undefined ? {} : { loading: { forests: loading.forests, ...finite('next', loading.next) } }),
    ...(best === undefined ? {} : { best: writeBest(best) }),
    families: families.map((family) => ({
      bill: family.bill,
      fixed: family.fixed,
      ...finite('price', family.price),
      mostNetworks: family.crews.mostNetworks,
      crews: writeCrews(family.crews),
    })),
    networks: networks.map(({ exits, kinds }) => ({
      exits,
      kinds: kinds.map(({ loads, splitters, chests, least, found, crews }) => ({
        loads,
        splitters,
        chests,
        ...finite('least', least),
        found,
        crews: writeCrews(crews),
      })),
    })),
  };
}

const error = <C extends SearchCode>(code: C, pointer: string, values: Finding['values'] = {}): Finding<C> => ({
  severity: 'error',
  code,
  pointer,
  values,
});

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> => typeof value === 'object' && value !== null;

interface Difference {
  readonly pointer: string;
  readonly found: unknown;
  readonly expected: unknown;
}

/** Where two JSON values first differ. */
function firstDifference(found: unknown, expected: unknown, pointer: string): Difference | undefined {
  if (!isObject(found) || !isObject(expected)) return found === expected ? undefined : { pointer, found, expected };
  for (const key of new Set([...Object.keys(expected), ...Object.keys(found)])) {
    const inner = firstDifference(found[key], expected[key], pointerTo(pointer, key));
    if (inner !== undefined) return inner;
  }
  return undefined;
}

/** The brief whose layouts a run of these prices searches; undefined where this brief has no such run. */
function briefOfRun(brief: Brief, price: Price): Brief | undefined {
  if (price === priceOf(brief)) return brief;
  if (brief.load !== undefined) return undefined;
  return brief.limits[price] === undefined ? undefined : { ...brief, minimise: [price] };
}

const said = (value: unknown): string => (value === undefined ? 'nothing' : shown(value));

function checkSettings(file: SearchFile, brief: Brief, settings: SearchSettings): readonly Finding<SearchCode>[] {
  const findings: Finding<SearchCode>[] = [];
  for (const field of ['version', 'solver', 'seed'] as const) {
    if (file[field] === settings[field]) continue;
    findings.push(error(`search-other-${field}`, `/${field}`, { found: file[field], expected: settings[field] }));
  }
  // As it would come out of a file.
  const written: unknown = JSON.parse(JSON.stringify(writeBrief(brief)));
  const difference = firstDifference(file.brief, written, '/brief');
  if (difference !== undefined) {
    const { pointer, found, expected } = difference;
    findings.push(error('search-other-brief', pointer, { found: said(found), expected: said(expected) }));
  } else if (briefOfRun(brief, file.price) === undefined) {
    findings.push(error('search-other-price', '/price', { found: file.price, expected: priceOf(brief) }));
  }
  return findings;
}

/** Price of a bill's parts, carriers apart. */
function fixedPrice({ chests, fills, loads, splitters }: Bill, map: SiteMap): number {
  const ofModels = (counts: readonly number[], models: readonly { readonly cost: number }[]): number =>
    counts.reduce((sum, count, m) => sum + count * models[m].cost, 0);
  return chests * (map.chests.at(0)?.cost ?? 0) + ofModels(fills, map.arms) + ofModels(loads, map.arms) + ofModels(splitters, map.splitters);
}

function checkFamilies({ families, rest = Infinity }: SearchFile, map: SiteMap): readonly Finding<SearchCode>[] {
  const findings: Finding<SearchCode>[] = [];
  const seen = new Set<string>();
  const { program, chests, ...models } = billProgram(map, candidates(map), [], 0);
  const most = [chests, ...models.fills, ...models.loads, ...models.splitters].map((id) => program.variables[id].upper);
  families.forEach(({ bill, fixed, price = Infinity }, index) => {
    const pointer = `/families/${index}`;
    const { fills, loads, splitters } = bill;
    const isOfModels = [fills, loads].every((counts) => counts.length === map.arms.length) && splitters.length === map.splitters.length;
    if (!isOfModels || countsOf(bill).some((count, index) => count > most[index])) {
      findings.push(error('search-counts', `${pointer}/bill`));
      return;
    }
    if (fixed !== fixedPrice(bill, map)) findings.push(error('search-price', `${pointer}/fixed`, { found: fixed, least: fixedPrice(bill, map) }));
    if (price < fixed) findings.push(error('search-price', `${pointer}/price`, { found: price, least: fixed }));
    // Bills are proposed in rising order of price.
    if (rest < fixed) findings.push(error('search-price', '/rest', { found: rest, least: fixed }));
    const key = countsOf(bill).join();
    if (seen.has(key)) findings.push(error('search-repeats', `${pointer}/bill`));
    seen.add(key);
  });
  return findings;
}

function checkNetworks({ networks }: SearchFile, map: SiteMap): readonly Finding<SearchCode>[] {
  const findings: Finding<SearchCode>[] = [];
  const exitCount = map.demands.length;
  networks.forEach(({ exits, kinds }, index) => {
    const pointer = `/networks/${index}`;
    const isPart = exits.length > 0 && exits.every((exit, i) => exit < exitCount && (i === 0 || exit > exits[i - 1]));
    if (!isPart) findings.push(error('search-exits', `${pointer}/exits`, { last: exitCount - 1 }));
    kinds.forEach(({ loads, splitters }, kind) => {
      if (loads.length === map.arms.length && splitters.length === map.splitters.length) return;
      findings.push(error('search-counts', `${pointer}/kinds/${kind}`));
    });
  });
  return findings;
}

const checkBills = (file: SearchFile, map: SiteMap): readonly Finding<SearchCode>[] => [
  ...checkFamilies(file, map),
  ...checkNetworks(file, map),
  ...(file.loading === undefined ? [] : [error('search-other-job', '/loading')]),
];

function checkLoading({ families, networks, rest, loading }: SearchFile): readonly Finding<SearchCode>[] {
  if (families.length > 0 || networks.length > 0 || loading === undefined) return [error('search-other-job', '')];
  const { next = Infinity } = loading;
  // A search without a price to go on at was finished, and at that price no next one lies below it.
  if (rest === undefined || next <= rest) return [error('search-price', '/loading/next', { found: next, least: (rest ?? 0) + 1 })];
  return [];
}

/** The best layout, if it is legal and `verify` passes it again. */
function readBest({ parts, exits, entries }: NonNullable<SearchFile['best']>, brief: Brief, verify: Verify): Checked<Layout, SearchCode> {
  const { site, wagons } = writeBrief(brief);
  const plan = parsePlan({ format: 'transloom-plan/1', name: brief.name, catalog: 'inside', site, wagons, parts, exits, ...(entries === undefined ? {} : { entries }) }, brief.catalog);
  if (!plan.ok) return { ok: false, findings: findingsBeneath('/best', plan.findings).filter(({ severity }) => severity === 'error') };
  const layout = plan.value;
  const isWhole = layout.exits.length === brief.exits.length && entriesOf(layout).length === (brief.load?.entries.length ?? 0);
  const witness = isWhole ? verify(layout, brief) : undefined;
  if (witness?.verdict !== 'passes' || !keepsToFlowLimits(brief, witness)) return { ok: false, findings: [error('search-best', '/best')] };
  return { ok: true, value: layout, warnings: [] };
}

/**
 * The state of a search for `brief`, or all that speaks against going on from it. `verify` has to say of a layout
 * whether it is what the brief asks for in all but the limits on its flows.
 */
export function parseSearch(json: unknown, brief: Brief, settings: SearchSettings, verify: Verify): Checked<RunState, SearchCode> {
  const { findings } = checkSchema('search', json);
  if (findings.length > 0) return { ok: false, findings };
  // The schema has vouched for every member.
  const file = json as SearchFile;
  const others = checkSettings(file, brief, settings);
  const own = briefOfRun(brief, file.price);
  if (others.length > 0 || own === undefined) return { ok: false, findings: others };
  const unsound = brief.load === undefined ? checkBills(file, siteMap(own, file.price)) : checkLoading(file);
  if (unsound.length > 0) return { ok: false, findings: unsound };
  const best = file.best === undefined ? undefined : readBest(file.best, own, verify);
  if (best?.ok === false) return best;
  const { price, rounds, simulations, seconds, rest, undecided, families, networks, loading } = file;
  return {
    ok: true,
    warnings: [],
    value: {
      price,
      rounds,
      simulations,
      seconds,
      restBound: rest ?? Infinity,
      undecided: undecided ?? Infinity,
      loading: loading && { forests: loading.forests, next: loading.next ?? Infinity },
      families: families.map(({ bill, fixed, price: left = Infinity, mostNetworks, crews }) => ({ bill, fixed, price: left, crews: readCrews(crews, mostNetworks) })),
      networks: networks.map(({ exits, kinds }) => ({
        exits,
        kinds: kinds.map(({ loads, splitters, chests, least = Infinity, found, crews }) => ({ loads, splitters, chests, least, found, crews: readCrews(crews) })),
      })),
      best: best?.value,
    },
  };
}
