/**
 * Test runner set-up. Property tests take their seed from TRANSLOOM_SEED where it is set; CI fixes it.
 */
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    passWithNoTests: false,
    // Ends what hangs; a busy machine may take many times as long as a quiet one.
    testTimeout: 300_000,
    hookTimeout: 300_000,
    maxWorkers: 2,
  },
});
