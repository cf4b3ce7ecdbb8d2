/**
 * Does some work at once and at every save of a file, until Ctrl-C. The folder is what is watched, for many editors save by
 * putting a new file in the place of the old one; several events right after each other are one save.
 */
import { watch } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';

/** Milliseconds without a further event after which a save is over. */
const QUIET_MS = 120;

export function watchFile(path: string, work: () => void): Promise<void> {
  const file = resolve(path);
  return new Promise((done, fail) => {
    let timer: NodeJS.Timeout | undefined;
    const close = (): void => {
      clearTimeout(timer);
      watcher.close();
      process.off('SIGINT', onInterrupt);
    };
    const onInterrupt = (): void => {
      close();
      done();
    };
    const onError = (thrown: unknown): void => {
      close();
      fail(thrown instanceof Error ? thrown : new Error(String(thrown)));
    };
    /** In the midst of it no signal could be heard, so Ctrl-C ends the program there, as it does where nobody listens. */
    const doIt = (): void => {
      process.off('SIGINT', onInterrupt);
      try {
        work();
        process.on('SIGINT', onInterrupt);
      } catch (thrown) {
        onError(thrown);
      }
    };
    const watcher = watch(dirname(file), (_event, name) => {
      if (name !== null && name !== basename(file)) return;
      clearTimeout(timer);
      timer = setTimeout(doIt, QUIET_MS);
    });
    watcher.on('error', onError);
    doIt();
  });
}
