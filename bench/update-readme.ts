/**
 * Writes the tables "How fast", that of lists, and "How far" of README from the committed results of the bench.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from './cases.js';
import { readResults, type BenchRecord } from './record.js';
import { suiteTable } from './suite-cases.js';
import { withHowFar } from './suite-tables.js';
import { withHowFast, withLists } from './tables.js';

const readme = join(ROOT, 'README.md');
const recordsOf = (file: string): readonly BenchRecord[] => readResults(readFileSync(join(ROOT, 'bench/results', file), 'utf8')).records;

const text = withLists(withHowFast(readFileSync(readme, 'utf8'), recordsOf('latest.json')), recordsOf('lists.json'));
writeFileSync(readme, withHowFar(text, recordsOf('suite.json'), suiteTable()));
