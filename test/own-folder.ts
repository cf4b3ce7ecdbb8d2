/**
 * A folder for what a test file writes, removed after its tests.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';

/** Its path. To be called at the top of a test file or a suite. */
export function ownFolder(): string {
  const path = mkdtempSync(join(tmpdir(), 'transloom-'));
  afterAll(() => {
    rmSync(path, { recursive: true, force: true });
  });
  return path;
}
