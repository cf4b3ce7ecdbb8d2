/** What a thread of `loading-pool.ts` computes: its places of one price after the other of one brief's search. It keeps what it remembers. */
import { invariant } from '../base/invariant.js';
import { LoadingHelper } from '../synthesis/loading/loading-shares.js';
import { loadingVerifier } from '../tasks/loading-verifier.js';
import { openChannel } from './channel.js';
import { writeFound } from './found-plan.js';
import type { LoadingErrand, LoadingReply } from './loading-pool.js';
import { briefOfText } from './threads.js';

let kept: { readonly brief: string; readonly helper: LoadingHelper; readonly stop: { flag: LoadingErrand['stop'] }; readonly close: () => void } | undefined;

function forget(): void {
  kept?.close();
  kept = undefined;
}

function helperOf({ brief: text, starts, channel, stop }: LoadingErrand): LoadingHelper {
  if (kept?.brief === text) {
    kept.stop.flag = stop;
    return kept.helper;
  }
  forget();
  const brief = briefOfText(text);
  invariant(brief.load !== undefined, 'a brief keeps its job on its way', { brief: brief.name });
  const current = { flag: stop };
  const { close, ...others } = openChannel(channel);
  const helper = new LoadingHelper(brief, brief.load, loadingVerifier(starts), () => Atomics.load(current.flag, 0) !== 0, others);
  kept = { brief: text, helper, stop: current, close };
  return helper;
}

export default function helpWithPrice(errand: LoadingErrand): LoadingReply {
  const answer = helperOf(errand).answer(errand.task);
  if (answer.stopped) forget();
  return { ...answer, better: answer.better && writeFound(answer.better) };
}
