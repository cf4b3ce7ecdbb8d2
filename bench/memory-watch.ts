/**
 * Ends its own process once that holds too much memory, even while a solver keeps the main thread: a thread looks.
 * Whoever started the process finds `TOO_LARGE` as the last that it said.
 */
import { once } from 'node:events';
import { Worker } from 'node:worker_threads';

export const TOO_LARGE = 'too large for the memory allowed';

const LOOK_MILLISECONDS = 50;

const WATCH = `
const { writeSync } = require('node:fs');
const { workerData } = require('node:worker_threads');
setInterval(() => {
  if (process.memoryUsage.rss() <= workerData.most) return;
  writeSync(1, workerData.word);
  process.kill(process.pid, 'SIGKILL');
}, ${LOOK_MILLISECONDS});
`;

export async function endBeyond(mebibytes: number): Promise<void> {
  const watch = new Worker(WATCH, { eval: true, execArgv: [], workerData: { most: mebibytes * 1024 * 1024, word: TOO_LARGE } });
  await once(watch, 'online');
  watch.unref();
}
