/**
 * What a thread of `share-pool.ts` computes: shares of one brief's search, one after the other. It keeps the
 * search, and what it remembers, from share to share.
 */
import { invariant } from '../base/invariant.js';
import { parseBrief } from '../brief/parse-brief.js';
import { parseCatalog } from '../catalog/parse-catalog.js';
import { writePlan } from '../layout/write-plan.js';
import { verifierOf } from '../tasks/verifier.js';
import { ShareSearch } from '../synthesis/families/share-search.js';
import type { ShareErrand, ShareReply } from './share-pool.js';

let kept: { readonly brief: string; readonly search: ShareSearch; readonly stop: { flag: ShareErrand['stop'] } } | undefined;

function searchOf({ brief: text, starts, stop }: ShareErrand): ShareSearch {
  if (kept?.brief === text) {
    kept.stop.flag = stop;
    return kept.search;
  }
  const document = JSON.parse(text) as { readonly catalog: unknown };
  const catalog = parseCatalog(document.catalog);
  const brief = catalog.ok ? parseBrief(document, catalog.value) : catalog;
  invariant(brief.ok, 'a brief that was sound is sound on another thread', {});
  const current = { flag: stop };
  const search = new ShareSearch(brief.value, verifierOf(starts), () => Atomics.load(current.flag, 0) !== 0);
  kept = { brief: text, search, stop: current };
  return search;
}

export default function takeShare(errand: ShareErrand): ShareReply {
  const answer = searchOf(errand).answer(errand.task);
  const { better } = answer;
  const exits = better?.exits.map(({ at, heading }) => ({ at, heading })) ?? [];
  return { ...answer, better: better && { plan: writePlan(better), exits } };
}
