/** Threads that help with the search for a loading station. What they compute is in `loading-worker.ts`. */
import { threadId } from 'node:worker_threads';
import type { Brief } from '../brief/brief.js';
import type { StartOptions } from '../simulation/starts.js';
import { counter, type Counter, type LoadingAnswer, type LoadingHelpers, type LoadingTask } from '../synthesis/loading/loading-shares.js';
import { openChannel } from './channel.js';
import { readFound, type FoundPlan } from './found-plan.js';
import { briefText, openThreads, pause, turn } from './threads.js';

/** Plain data. */
export interface LoadingErrand {
  readonly brief: string;
  readonly starts: StartOptions;
  readonly task: LoadingTask;
  /** Name of the channel on which they tell each other what they know. */
  readonly channel: string;
  /** Not 0 once the run is to stop. */
  readonly stop: Counter;
}

export type LoadingReply = LoadingAnswer<FoundPlan>;

export interface LoadingPool extends LoadingHelpers {
  /** Ends the threads. */
  readonly close: () => Promise<void>;
}

/** So many pools have been opened on this thread. */
let opened = 0;

/** `worker`: address of the compiled `loading-worker.js`. */
export function openLoadingPool(worker: string, count: number, brief: Brief, starts: StartOptions): LoadingPool {
  const threads = openThreads(worker, count);
  const document = briefText(brief);
  const channel = `loading-${threadId}-${opened++}`;
  const { close, ...others } = openChannel(channel);
  const stop = counter();
  const answerOf = (reply: LoadingReply): LoadingAnswer => ({ ...reply, better: reply.better && readFound(reply.better, brief.catalog) });
  return {
    count,
    others,
    search: (task, index) => {
      // What was simulated here stays here.
      const errand: LoadingErrand = { brief: document, starts: { ...starts, kept: undefined }, task, channel, stop };
      return threads[index].run(errand).then((reply) => answerOf(reply as LoadingReply));
    },
    turn,
    pause,
    stop: () => {
      Atomics.store(stop, 0, 1);
    },
    close: async () => {
      Atomics.store(stop, 0, 1);
      close();
      await Promise.all(threads.map((thread) => thread.destroy()));
    },
  };
}
