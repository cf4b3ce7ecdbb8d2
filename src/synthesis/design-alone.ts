/**
 * A design of a part of what a brief asks for, or with less to choose from, by a run of its own: what first layouts
 * are made of. How it is run is handed in by `design.ts`.
 */
import type { Brief } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';

/** A layout, one of the cheapest; that there is none; or that the time was up. */
export type AloneAnswer = Layout | 'none' | 'late';
/** Begins a design; what comes back goes on with it for so many milliseconds each time. */
export type DesignAlone = (brief: Brief) => (milliseconds: number) => Promise<AloneAnswer>;
