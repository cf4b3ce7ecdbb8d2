/**
 * Runs after every build: makes the freshly built command executable and links it among the
 * installed ones, so that `npx transloom` in this folder runs this very build and asks nothing.
 */
import { chmodSync, existsSync, mkdirSync, rmSync, symlinkSync } from 'node:fs';

const command = new URL('../../dist/cli/main.js', import.meta.url);
const bin = new URL('../../node_modules/.bin/', import.meta.url);

chmodSync(command, 0o755);
if (process.platform !== 'win32' && existsSync(new URL('..', bin))) {
  mkdirSync(bin, { recursive: true });
  const link = new URL('transloom', bin);
  rmSync(link, { force: true });
  symlinkSync('../../dist/cli/main.js', link);
}
