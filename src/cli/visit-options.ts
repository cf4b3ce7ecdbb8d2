/**
 * The options of `visit` as checked data; what depends on the plan is checked once there is one, in `visitRequest`.
 */
import type { Argv } from 'yargs';
import type { Layout, VisitRequest } from '../index.js';
import { durationOption, ticksIn, type Duration } from './time-options.js';
import { fileOption, startsOption, usage, wholeOption } from './usage.js';

export interface VisitChoice {
  /** Of each wagon, or one number for all of them. */
  readonly loads: readonly number[] | undefined;
  readonly levels: number | 'empty' | 'full' | undefined;
  readonly headway: Duration | undefined;
  readonly stay: Duration | undefined;
  readonly visits: number | undefined;
  readonly ticks: Duration | undefined;
  readonly starts: number | undefined;
  readonly svgFile: string | undefined;
  readonly htmlFile: string | undefined;
}

export const visitOptions = <T>(argv: Argv<T>) =>
  argv
    .option('load', { type: 'string', requiresArg: true, describe: 'Items in each wagon that comes, or one number for each, such as 1500,900; left out: all it holds, or none where trains are filled' })
    .option('headway', { type: 'string', requiresArg: true, describe: 'From one arrival to the next, in ticks or such as 90s; “none”: a train comes as soon as the one before has left' })
    .option('stay', { type: 'string', requiresArg: true, describe: 'A train leaves after so many ticks, or such as 90s, even if it is not empty, or not full where trains are filled' })
    .option('levels', { type: 'string', requiresArg: true, describe: 'Items in each chest at the start, “empty” or “full”; left out: empty' })
    .option('visits', { type: 'string', requiresArg: true, describe: 'End when so many trains have left; left out: once visits come over and over' })
    .option('ticks', { type: 'string', requiresArg: true, describe: 'End after so many ticks, or such as 3600s' })
    .option('starts', { type: 'string', requiresArg: true, describe: 'Also run so many staggered starts, and tell the one from which trains stand longest; left out: none' })
    .option('svg', { type: 'string', requiresArg: true, describe: 'Also write a picture of it over time to this SVG file' })
    .option('html', { type: 'string', requiresArg: true, describe: 'Also write that picture, and what trains waited for, as a page to this file' });

interface RawVisit {
  readonly load: string | undefined;
  readonly headway: string | undefined;
  readonly stay: string | undefined;
  readonly levels: string | undefined;
  readonly visits: string | undefined;
  readonly ticks: string | undefined;
  readonly starts: string | undefined;
  readonly svg: string | undefined;
  readonly html: string | undefined;
}

export function readVisitOptions(raw: RawVisit): VisitChoice {
  const { levels } = raw;
  return {
    loads: raw.load?.split(',').map((word) => wholeOption('load', word.trim(), 0) ?? 0),
    levels: levels === 'empty' || levels === 'full' ? levels : wholeOption('levels', levels, 0, undefined, ', “empty” or “full”'),
    headway: raw.headway === 'none' ? undefined : durationOption('headway', raw.headway, ', or “none”'),
    stay: durationOption('stay', raw.stay),
    visits: wholeOption('visits', raw.visits, 1),
    ticks: durationOption('ticks', raw.ticks),
    starts: startsOption(raw.starts),
    svgFile: fileOption('svg', raw.svg),
    htmlFile: fileOption('html', raw.html),
  };
}

function loadsFor(loads: readonly number[] | undefined, { wagons }: Layout): readonly number[] | undefined {
  if (loads === undefined) return undefined;
  if (loads.length !== 1 && loads.length !== wagons.length) {
    throw usage(`--load gives ${loads.length} numbers, but the plan has ${wagons.length === 1 ? 'one wagon' : `${wagons.length} wagons`}; give one for each, or one for all.`);
  }
  return wagons.map(({ model }, wagon) => {
    const load = loads.length === 1 ? loads[0] : loads[wagon];
    if (load > model.capacity) throw usage(`--load ${load} is more than the wagon “${model.name}” holds; give at most ${model.capacity}.`);
    return load;
  });
}

/** What the options mean for this plan. */
export function visitRequest(choice: VisitChoice, layout: Layout): VisitRequest {
  if (layout.wagons.length === 0) throw usage('This plan has no wagon, so no train comes; add one to its “wagons”.');
  for (const part of layout.parts) {
    if (part.kind === 'chest' && typeof choice.levels === 'number' && choice.levels > part.model.capacity) {
      throw usage(`--levels ${choice.levels} is more than the chest at [${part.at.x}, ${part.at.y}] holds; give at most ${part.model.capacity}, or “full”.`);
    }
  }
  return {
    loads: loadsFor(choice.loads, layout),
    levels: choice.levels,
    headwayTicks: ticksIn('headway', choice.headway, layout.catalog),
    stayTicks: ticksIn('stay', choice.stay, layout.catalog),
    visits: choice.visits,
    starts: choice.starts,
    ticks: ticksIn('ticks', choice.ticks, layout.catalog),
  };
}
