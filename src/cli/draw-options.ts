/**
 * The options of `draw`, as text and as checked data.
 */
import type { Argv } from 'yargs';
import { isPictureFile } from './files.js';
import { fileOption, usage } from './usage.js';

export interface DrawChoice {
  /** Where the picture is to be written to besides. */
  readonly svgFile: string | undefined;
  readonly htmlFile: string | undefined;
  /** Where the plan is to be written to besides, as a picture that can be read again, and as JSON. */
  readonly textFile: string | undefined;
  readonly planFile: string | undefined;
}

export const drawOptions = <T>(argv: Argv<T>) =>
  argv
    .option('svg', { type: 'string', requiresArg: true, describe: 'Also write the picture to this file, as SVG' })
    .option('html', { type: 'string', requiresArg: true, describe: 'Also write a page to this file, on which the station moves' })
    .option('text', { type: 'string', requiresArg: true, describe: 'Also write the plan to this file as a picture, to be edited and read again' })
    .option('plan-json', { type: 'string', requiresArg: true, describe: 'Also write the plan to this file as JSON' });

interface RawDraw {
  readonly svg: string | undefined;
  readonly html: string | undefined;
  readonly text: string | undefined;
  readonly 'plan-json': string | undefined;
}

export function readDrawOptions(raw: RawDraw): DrawChoice {
  const textFile = fileOption('text', raw.text);
  const planFile = fileOption('plan-json', raw['plan-json']);
  if (textFile !== undefined && !isPictureFile(textFile)) throw usage('--text needs a file name that ends in .plan.txt.');
  return { svgFile: fileOption('svg', raw.svg), htmlFile: fileOption('html', raw.html), textFile, planFile };
}
