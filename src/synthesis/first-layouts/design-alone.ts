/**
 * A design of a part of what a brief asks for, or with less to choose from, by a run of its own: what first layouts
 * are made of. How it is run is handed in: `own-runs.ts`.
 */
import type { Brief } from '../../brief/brief.js';
import type { Layout, Part } from '../../layout/layout.js';

/** A layout, the first that was come upon; that there is none; or that the time was up. */
export type AloneAnswer = Layout | 'none' | 'late';
/**
 * Begins a design; what comes back goes on with it for so many milliseconds each time. `given`: chests that stand there
 * already, with the arms that fill them, on tiles that the brief keeps out; load arms may take from them too. `anySoon`:
 * whether any layout soon is wanted more than one of the cheapest.
 */
export type DesignAlone = (brief: Brief, given: readonly Part[], anySoon: boolean) => (milliseconds: number) => Promise<AloneAnswer>;

/** Layouts that pass, in the order in which they were come upon, cheapest first but for their exits' last stretches; and whether no more will come. */
export interface GatherAnswer {
  readonly layouts: readonly Layout[];
  readonly isWhole: boolean;
}
/** The same of all layouts, up to `most` of them, that cost no more than `above` above the cheapest. */
export type GatherAlone = (brief: Brief, above: number, most: number) => (milliseconds: number) => Promise<GatherAnswer>;

/**
 * Begins to look for layouts near one that costs `price` and meets a brief but for what its exits' last stretches are: each
 * call goes on for so many milliseconds, or up to a cheaper one, near which the next call goes on. `given`: as above.
 */
export type NearbyDesign = (brief: Brief, given: readonly Part[], layout: Layout, price: number) => (milliseconds: number) => Promise<AloneAnswer>;
