/**
 * What a thread of `share-pool.ts` computes: shares of one brief's search, one after the other. It keeps the
 * search, and what it remembers, from share to share.
 */
import { verifierOf } from '../tasks/verifier.js';
import { ShareSearch } from '../synthesis/families/share-search.js';
import { writeFound } from './found-plan.js';
import type { ShareErrand, ShareReply } from './share-pool.js';
import { briefOfText } from './threads.js';

let kept: { readonly brief: string; readonly search: ShareSearch; readonly stop: { flag: ShareErrand['stop'] } } | undefined;

function searchOf({ brief: text, starts, stop }: ShareErrand): ShareSearch {
  if (kept?.brief === text) {
    kept.stop.flag = stop;
    return kept.search;
  }
  const current = { flag: stop };
  const search = new ShareSearch(briefOfText(text), verifierOf(starts), () => Atomics.load(current.flag, 0) !== 0);
  kept = { brief: text, search, stop: current };
  return search;
}

export default function takeShare(errand: ShareErrand): ShareReply {
  const answer = searchOf(errand).answer(errand.task);
  return { ...answer, better: answer.better && writeFound(answer.better) };
}
