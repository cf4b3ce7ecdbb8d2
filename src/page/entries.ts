/**
 * The layouts of the page, read from the JSON in it when they are first asked for. Flows of lanes are measured here,
 * by the simulator, as they are needed.
 */
import { invariant } from '../base/invariant.js';
import { parseCatalog } from '../catalog/parse-catalog.js';
import { parsePlan } from '../layout/parse-plan.js';
import { anythingFlows } from '../report/flow-glyphs.js';
import { pageEntry, type PageData, type PageEntry } from '../report/page/page-data.js';
import { readTrial } from '../report/read-trial.js';
import { laneFlows } from '../simulation/lane-flows.js';
import { USUAL_SEED } from '../simulation/starts.js';

const TICK_LIMIT = 200_000;

export class Entries {
  readonly #read = new Map<number, PageEntry>();
  readonly #measured = new Set<number>();

  constructor(readonly data: PageData) {}

  /** With flows only if they have been measured. */
  entry(index: number): PageEntry {
    const known = this.#read.get(index);
    if (known !== undefined) return known;
    const stored = this.data.list[index];
    const catalog = parseCatalog(stored.plan['catalog']);
    invariant(catalog.ok, 'a page holds sound catalogs', { index });
    const plan = parsePlan(stored.plan, catalog.value);
    invariant(plan.ok, 'a page holds sound plans', { index });
    const entry = pageEntry(plan.value, readTrial(stored.trial), stored);
    this.#read.set(index, entry);
    return entry;
  }

  measured(index: number): PageEntry {
    const entry = this.entry(index);
    if (this.#measured.has(index)) return entry;
    const { layout, trial, seed } = entry;
    const flows = laneFlows(layout, trial.worstStart, { starts: 0, seed: seed ?? USUAL_SEED, tickLimit: TICK_LIMIT });
    const whole = { ...entry, flows: anythingFlows(flows) ? flows : undefined };
    this.#read.set(index, whole);
    this.#measured.add(index);
    return whole;
  }
}
