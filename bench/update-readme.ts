/**
 * Writes the table "How fast" of README from the committed results of the bench.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from './cases.js';
import { readResults } from './record.js';
import { withHowFast } from './tables.js';

const readme = join(ROOT, 'README.md');
const { records } = readResults(readFileSync(join(ROOT, 'bench/results/latest.json'), 'utf8'));
writeFileSync(readme, withHowFast(readFileSync(readme, 'utf8'), records));
