/** Over which threads that search the same tell each other what they know, in the midst of it: whoever computes hears what was said so far. */
import { BroadcastChannel, receiveMessageOnPort } from 'node:worker_threads';
import type { Others, Told } from '../synthesis/loading/loading-told.js';

/** `name`: the same for all who are to hear each other, in one process. It keeps no thread from ending. */
export function openChannel(name: string): Others & { readonly close: () => void } {
  const channel = new BroadcastChannel(name);
  channel.unref();
  // Where a thread pauses, what has come is handed out as events, and cannot be asked for any more.
  const inbox: Told[] = [];
  channel.onmessage = (event) => {
    inbox.push((event as { readonly data: Told }).data);
  };
  return {
    tell: (told) => {
      channel.postMessage(told);
    },
    // Channels are among the ports that may be asked so, by Node's documentation; its types leave them out.
    heard: () => inbox.shift() ?? (receiveMessageOnPort(channel as never) as { readonly message: Told } | undefined)?.message,
    close: () => {
      channel.close();
    },
  };
}
