/**
 * A process that designs one brief by the compiled program, as a user's would, and prints what came of it as one line
 * of JSON: the command's own document, the milliseconds to the first layout, the most memory held, and the processors' time.
 * Plain JavaScript, so that no compiler takes part in that memory.
 * Arguments: the brief's file, the limit in seconds, how many threads share a long search.
 */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { catalogReference, designDocument, designStation, parseBrief, parseCatalog } from '../dist/index.js';

const accepted = (path, checked) => {
  if (!checked.ok) throw new Error(`${path}: ${JSON.stringify(checked.findings)}`);
  return checked.value;
};
const readJson = (path) => JSON.parse(readFileSync(path, 'utf8'));

const [path, limit, workers] = process.argv.slice(2);
const document = readJson(path);
const reference = catalogReference(document);
const catalog = reference.kind === 'inline' ? reference.value : readJson(join(dirname(path), reference.path));
const brief = accepted(path, parseBrief(document, accepted(path, parseCatalog(catalog))));

const startedAt = performance.now();
let firstMs;
const answer = await designStation(brief, {
  now: () => performance.now(),
  timeLimitSeconds: Number(limit),
  workers: Number(workers),
  onProgress: ({ best }) => {
    if (best !== undefined) firstMs ??= performance.now() - startedAt;
  },
});
const { maxRSS, userCPUTime, systemCPUTime } = process.resourceUsage();
const held = { peakMebibytes: Math.round(maxRSS / 1024), cpuMs: Math.round((userCPUTime + systemCPUTime) / 1000) };
process.stdout.write(`${JSON.stringify({ document: designDocument(answer), firstMs, ...held })}\n`);
