/**
 * Watches a file until Ctrl-C. The folder is what is watched, for many editors save by putting a new file in the place of
 * the old one; several events right after each other are one save.
 */
import { watch } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';

/** Milliseconds without a further event after which a save is over. */
const QUIET_MS = 120;

export function watchFile(path: string, onSave: () => void): Promise<void> {
  const file = resolve(path);
  return new Promise((done, fail) => {
    let timer: NodeJS.Timeout | undefined;
    const watcher = watch(dirname(file), (_event, name) => {
      if (name !== null && name !== basename(file)) return;
      clearTimeout(timer);
      timer = setTimeout(() => {
        try {
          onSave();
        } catch (thrown) {
          watcher.close();
          fail(thrown instanceof Error ? thrown : new Error(String(thrown)));
        }
      }, QUIET_MS);
    });
    watcher.on('error', fail);
    process.once('SIGINT', () => {
      clearTimeout(timer);
      watcher.close();
      done();
    });
  });
}
