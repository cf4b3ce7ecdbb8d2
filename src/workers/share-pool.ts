/**
 * Threads that take shares of a search. Each is a pool of one, so that a share always comes to the thread
 * that remembers it. What they compute is in `share-worker.ts`.
 */
import type { Brief } from '../brief/brief.js';
import type { StartOptions } from '../simulation/starts.js';
import { placesToTake } from '../synthesis/carriers/share.js';
import { NONE_LONG, joinLong, type LongOnes } from '../synthesis/crews/crew-shares.js';
import type { ShareAnswer, ShareTakers, ShareTask } from '../synthesis/families/share-search.js';
import { readFound, type FoundPlan } from './found-plan.js';
import { briefText, openThreads, pause } from './threads.js';

/** Plain data. */
export interface ShareErrand {
  readonly brief: string;
  readonly starts: StartOptions;
  readonly task: ShareTask;
  /** Not 0 once the run is to stop. */
  readonly stop: Int32Array<SharedArrayBuffer>;
}

export type ShareReply = ShareAnswer<FoundPlan>;

export interface SharePool extends ShareTakers {
  /** Ends the threads. */
  readonly close: () => Promise<void>;
}

/** `worker`: address of the compiled `share-worker.js`. */
export function openSharePool(worker: string, count: number, brief: Brief, starts: StartOptions): SharePool {
  const threads = openThreads(worker, count);
  const document = briefText(brief);
  const stop = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  const answerOf = (reply: ShareReply): ShareAnswer => ({ ...reply, better: reply.better && readFound(reply.better, brief.catalog) });
  /** By thread: what others have ruled out since. */
  const news = threads.map((): string[] => []);
  /** By search: what took long in any of its tasks. */
  const longOf = new Map<string, LongOnes>();
  const taken = placesToTake();
  return {
    take: async (task) => {
      const long = longOf.get(task.search) ?? NONE_LONG;
      taken.fill(0);
      const errands = news.map((known, index): ShareErrand => {
        const share = { index, of: count, taken };
        // What was simulated here stays here.
        return { brief: document, starts: { ...starts, kept: undefined }, task: { ...task, share, long, known: [...known.splice(0), ...task.known] }, stop };
      });
      const answers = await Promise.all(threads.map(async (thread, index) => answerOf((await thread.run(errands[index])) as ShareReply)));
      longOf.set(task.search, joinLong([long, ...answers.map((answer) => answer.long)]));
      news.forEach((known, index) => {
        answers.forEach(({ ruledOut }, other) => {
          if (other !== index) known.push(...ruledOut);
        });
      });
      return answers;
    },
    pause,
    stop: () => {
      Atomics.store(stop, 0, 1);
    },
    close: async () => {
      Atomics.store(stop, 0, 1);
      await Promise.all(threads.map((thread) => thread.destroy()));
    },
  };
}
