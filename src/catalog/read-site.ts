/**
 * The ground that briefs and plans share: the site and the wagons beside it, read and checked.
 * It stands here because both of them know catalogs and neither knows the other.
 */
import type { Box } from '../base/geometry.js';
import { topOf, type Ground, type Track } from '../base/ground.js';
import type { Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { pointerTo } from '../base/json-pointer.js';
import { nearestName } from '../base/nearest-name.js';
import type { Catalog, WagonModel } from './catalog.js';

export type SiteCode = 'unknown-model' | 'keep-out-outside' | 'wagon-outside' | 'wagon-overhangs' | 'wagons-overlap' | 'track-without-north' | 'track-reversed' | 'wagon-off-track' | 'wagon-spotted-off-track';

interface StandingWagon {
  readonly model: WagonModel;
  readonly at: number;
}

/** What is read; `pointers` run beside `wagons`, from which wagons with a finding are left out. */
interface ReadGround {
  readonly site: Ground | undefined;
  readonly wagons: readonly StandingWagon[];
  readonly pointers: readonly string[];
  readonly findings: readonly Finding<SiteCode>[];
}

/** The model of that name, or a finding that says which there are. `group` is the catalog's word for them. */
export function lookUp<T extends { readonly name: string }>(
  models: readonly T[],
  node: JsonNode,
  group: string,
): { readonly model: T | undefined; readonly findings: readonly Finding<'unknown-model'>[] } {
  const name = node.text();
  const model = models.find((candidate) => candidate.name === name);
  if (name === undefined || model !== undefined) return { model, findings: [] };
  const names = models.map((candidate) => candidate.name);
  const hint = nearestName(name, names);
  const values = { name, group, known: names.join(', '), ...(hint === undefined ? {} : { hint }) };
  return { model, findings: [{ severity: 'error', code: 'unknown-model', pointer: node.pointer, values }] };
}

/** The least x of a wagon that follows `before` in a row. */
const after = ({ model, at }: StandingWagon): number => at + model.length + model.coupling;

/** What a site has beside its rows in the south: nothing where it has none, undefined where the number of rows is unsound. */
function readNorth(site: JsonNode, findings: Finding<SiteCode>[]): Pick<Ground, 'north' | 'track'> | undefined {
  const north = site.at('north').isPresent ? site.at('north').whole() : 0;
  if (north === undefined) return undefined;
  const node = site.at('track');
  const from = node.at('from').whole();
  const to = node.at('to').whole();
  const track: Track = { ...(from === undefined ? {} : { from }), ...(to === undefined ? {} : { to }) };
  if (node.isPresent && north === 0) findings.push({ severity: 'error', code: 'track-without-north', pointer: node.pointer, values: {} });
  if (from !== undefined && to !== undefined && from > to) findings.push({ severity: 'error', code: 'track-reversed', pointer: node.pointer, values: { from, to } });
  return north === 0 ? {} : { north, ...(Object.keys(track).length === 0 ? {} : { track }) };
}

/** `inRow`: a wagon may leave its place out, and then follows the one before it, or stands at 0. */
export function readGround(root: JsonNode, catalog: Catalog, inRow = false): ReadGround {
  const findings: Finding<SiteCode>[] = [];
  const width = root.at('site').at('width').whole();
  const depth = root.at('site').at('depth').whole();
  const boxes = root.at('site').at('keepOut').items();
  const keepOut = boxes.flatMap((node): Box[] => {
    const numbers = node.wholes(4);
    if (numbers === undefined) return [];
    const [x, y, boxWidth, boxHeight] = numbers;
    return [{ x, y, width: boxWidth, height: boxHeight }];
  });
  const wagons: StandingWagon[] = [];
  const pointers: string[] = [];
  /** Undefined after a wagon whose place or length is unknown. */
  let next: number | undefined = 0;
  for (const node of root.at('wagons').items()) {
    const { model, findings: unknown } = lookUp(catalog.wagons, node.at('model'), 'wagons');
    findings.push(...unknown);
    const at: number | undefined = node.at('at').isPresent || !inRow ? node.at('at').whole() : next;
    next = undefined;
    if (model === undefined || at === undefined) continue;
    const wagon = { model, at };
    next = after(wagon);
    wagons.push(wagon);
    pointers.push(node.pointer);
  }
  const north = readNorth(root.at('site'), findings);
  const site = width === undefined || depth === undefined || north === undefined ? undefined : { width, depth, ...north, keepOut };
  return { site, wagons, pointers, findings };
}

/** For sentences about a site. */
export const extentOf = ({ width, depth, north = 0 }: Ground): Finding['values'] & object => ({ width, depth, ...(north === 0 ? {} : { north }) });

const trackValues = ({ track = {} }: Ground): Finding['values'] & object => ({
  ...(track.from === undefined ? {} : { trackFrom: track.from }),
  ...(track.to === undefined ? {} : { trackTo: track.to }),
});

/** Of the wagons before this one the first with which it shares a tile: all of them would be more than anybody reads. */
function firstMet(wagons: readonly StandingWagon[], index: number): number | undefined {
  const { at, model } = wagons[index];
  for (let before = 0; before < index; before += 1) {
    const other = wagons[before];
    if (at < other.at + other.model.length && other.at < at + model.length) return before;
  }
  return undefined;
}

/** `pointers` run beside `wagons`; `spotting`: tiles by which wagons may stop short or far. */
export function checkGround(
  site: Ground,
  wagons: readonly StandingWagon[],
  pointers: readonly string[] = wagons.map((_, index) => pointerTo('/wagons', index)),
  spotting = 0,
): readonly Finding<SiteCode>[] {
  const findings: Finding<SiteCode>[] = [];
  site.keepOut.forEach((box, index) => {
    const inside = box.x >= 0 && box.y >= topOf(site) && box.x + box.width <= site.width && box.y + box.height <= site.depth;
    if (inside) return;
    findings.push({
      severity: 'warning',
      code: 'keep-out-outside',
      pointer: pointerTo('/site/keepOut', index),
      values: extentOf(site),
    });
  });
  wagons.forEach((wagon, index) => {
    const end = wagon.at + wagon.model.length;
    const values = { from: wagon.at, to: end - 1, width: site.width, last: site.width - 1 };
    if (end <= 0 || wagon.at >= site.width) {
      findings.push({ severity: 'error', code: 'wagon-outside', pointer: pointers[index], values });
    } else if (wagon.at < 0 || end > site.width) {
      findings.push({ severity: 'warning', code: 'wagon-overhangs', pointer: pointers[index], values });
    }
    const { from = -Infinity, to = Infinity } = site.track ?? {};
    if (wagon.at < from || end - 1 > to) {
      findings.push({ severity: 'error', code: 'wagon-off-track', pointer: pointers[index], values: { ...values, ...trackValues(site) } });
    } else if (wagon.at - spotting < from || end - 1 + spotting > to) {
      findings.push({ severity: 'error', code: 'wagon-spotted-off-track', pointer: pointers[index], values: { ...values, spotting, ...trackValues(site) } });
    }
    const met = firstMet(wagons, index);
    if (met === undefined) return;
    const other = wagons[met];
    findings.push({
      severity: 'error',
      code: 'wagons-overlap',
      pointer: pointers[index],
      values: { ...values, other: pointers[met], otherFrom: other.at, otherTo: other.at + other.model.length - 1 },
    });
  });
  return findings;
}
