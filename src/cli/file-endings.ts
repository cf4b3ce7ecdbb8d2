/**
 * What the ending of a file's name says to whoever opens it: an option that writes something else under such a name is
 * refused. Names with other endings, or none, are taken as they are.
 */
import { usage } from './usage.js';

/** Formats that this program writes, and pictures that it does not write. */
const TELLING = ['.plan.txt', '.svg', '.html', '.htm', '.csv', '.json', '.jsonl', '.mps', '.lp', '.png', '.jpg', '.jpeg', '.gif', '.webp', '.pdf'];

interface Written {
  readonly what: string;
  readonly endings: readonly string[];
}

/** By option; `out` takes what would be printed. Options that are not here demand their ending themselves. */
const WRITTEN: Readonly<Record<string, Written>> = {
  svg: { what: 'SVG', endings: ['.svg'] },
  html: { what: 'a page', endings: ['.html', '.htm'] },
  csv: { what: 'CSV', endings: ['.csv'] },
  'plan-json': { what: 'JSON', endings: ['.json'] },
  save: { what: 'JSON', endings: ['.json'] },
  best: { what: 'a plan', endings: ['.json', '.plan.txt'] },
  out: { what: 'text, JSON or a plan', endings: ['.txt', '.json', '.plan.txt'] },
};

/** Throws an `InputError` where the name says that something else is in the file. */
export function checkEnding(option: string, path: string): void {
  if (!Object.hasOwn(WRITTEN, option)) return;
  const { what, endings } = WRITTEN[option];
  const name = path.toLowerCase();
  const ending = TELLING.find((each) => name.endsWith(each));
  if (ending === undefined || endings.includes(ending)) return;
  throw usage(`--${option} writes ${what}, which no name in ${ending} tells; let it end in ${endings.join(' or ')}.`);
}
