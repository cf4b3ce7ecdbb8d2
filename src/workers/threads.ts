/** Threads as pools of one, so that what is meant for one always comes to the thread that remembers its search; and the brief that they search for. */
import Tinypool from 'tinypool';
import { invariant } from '../base/invariant.js';
import type { Brief } from '../brief/brief.js';
import { parseBrief } from '../brief/parse-brief.js';
import { writeBrief } from '../brief/write-brief.js';
import { parseCatalog } from '../catalog/parse-catalog.js';

/** How long one waits before one looks up again. */
const PAUSE_MILLISECONDS = 40;

export const pause = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, PAUSE_MILLISECONDS));

/** Lets what other threads have sent come through. */
export const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** `worker`: address of the compiled module that they run. */
export const openThreads = (worker: string, count: number): readonly Tinypool[] =>
  Array.from({ length: count }, () => new Tinypool({ filename: worker, minThreads: 1, maxThreads: 1, runtime: 'worker_threads', idleTimeout: Infinity }));

/** The brief as JSON text with its catalog inside, as it travels. */
export const briefText = (brief: Brief): string => JSON.stringify(writeBrief(brief));

export function briefOfText(text: string): Brief {
  const document = JSON.parse(text) as { readonly catalog: unknown };
  const catalog = parseCatalog(document.catalog);
  const brief = catalog.ok ? parseBrief(document, catalog.value) : catalog;
  invariant(brief.ok, 'a brief that was sound is sound on another thread', {});
  return brief.value;
}
