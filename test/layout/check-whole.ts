/**
 * All that is wrong with a layout; and where there is nothing, what is surely not meant.
 */
import type { Finding } from '../../src/base/finding.js';
import { checkIntent } from '../../src/layout/check-intent.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import type { Layout } from '../../src/layout/layout.js';

export function checkWhole(layout: Layout): readonly Finding[] {
  const legality = checkLegality(layout);
  return legality.some(({ severity }) => severity === 'error') ? legality : [...legality, ...checkIntent(layout)];
}
