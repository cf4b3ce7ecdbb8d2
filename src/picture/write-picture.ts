/**
 * Writes a layout as a picture file, from which `read-picture.ts` reads the same plan: the picture of `draw`, as built and
 * without flows, below lines in words that say what a drawing can't.
 */
import { isOnTrack } from '../base/ground.js';
import { jsonText } from '../base/json-text.js';
import { formatRational } from '../base/rational.js';
import { writeCatalog } from '../catalog/write-catalog.js';
import { inPlanOrder, type JsonObject } from '../layout/write-plan.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import { drawLayout } from '../report/draw-layout.js';
import { entryNumber, exitLetter } from '../report/labels.js';
import { plainInks } from '../report/ink.js';
import { MOST_SIGNS, signedVariants, type SignedVariant } from '../report/model-signs.js';
import { sameTrack, trackOf } from './drawn-track.js';
import { boxesOf, sameBoxes } from './kept-out.js';
import { FIRST_LINE } from './picture-lines.js';

export interface PictureOptions {
  /** What is promised of the layout. */
  readonly result?: JsonObject | undefined;
  /** The path of its catalog's file; left out: the catalog is written out. */
  readonly catalog?: string | undefined;
  /** Printable ASCII only, but for names. */
  readonly ascii?: boolean;
}

export type WrittenPicture = { readonly ok: true; readonly text: string } | { readonly ok: false; readonly reason: string };

function variantLine({ kind, sign, model, favourIn, favourOut }: SignedVariant): string {
  const favours = { ...(favourIn === undefined ? {} : { favourIn }), ...(favourOut === undefined ? {} : { favourOut }) };
  const value = Object.keys(favours).length === 0 ? model : { model, ...favours };
  return `${kind}${sign === undefined ? '' : ` ${sign}`}: ${jsonText(value)}`;
}

/** Long values stand below the picture, so that a reader meets it first. */
export function writePicture(layout: Layout, { result, catalog, ascii = false }: PictureOptions = {}): WrittenPicture {
  const ordered = inPlanOrder(layout);
  const variants = signedVariants(ordered);
  const crowded = variants.find(({ kind }) => variants.filter((other) => other.kind === kind).length > MOST_SIGNS);
  if (crowded !== undefined) {
    return { ok: false, reason: `a picture tells at most ${MOST_SIGNS} models of a kind apart, and this plan has more of the kind “${crowded.kind}”` };
  }
  const { site, exits } = ordered;
  const isKept = (x: number, y: number): boolean =>
    site.keepOut.some((box) => x >= box.x && y >= box.y && x < box.x + box.width && y < box.y + box.height);
  const areDrawn = sameBoxes(site.keepOut, boxesOf({ ...site, keepOut: [] }, (x, y) => isKept(x, y) && !isOnTrack(site, { x, y })));
  const columns = Array.from({ length: site.width }, (_, x) => isOnTrack(site, { x, y: -1 }));
  const isTrackTold = site.north !== undefined && !sameTrack(site.track ?? {}, trackOf(columns));
  const boxes = site.keepOut.map(({ x, y, width, height }) => [x, y, width, height]);
  const lines = [
    FIRST_LINE,
    `name: ${jsonText(ordered.name)}`,
    ...(catalog === undefined ? [] : [`catalog: ${jsonText(catalog)}`]),
    ...variants.map(variantLine),
    ...exits.flatMap(({ take }, index) => (take === undefined ? [] : [`exit ${exitLetter(index)}: ${jsonText(formatRational(take))}`])),
    ...entriesOf(ordered).flatMap(({ give }, index) => (give === undefined ? [] : [`entry ${entryNumber(index)}: ${jsonText(formatRational(give))}`])),
    ...(isTrackTold ? [`track: ${jsonText(site.track ?? {})}`] : []),
    ...(areDrawn ? [] : [`kept out: ${jsonText(boxes)}`]),
    '',
    ...drawLayout(ordered, { ink: plainInks, ascii }),
    ...(catalog === undefined || result !== undefined ? [''] : []),
    ...(catalog === undefined ? [`catalog: ${jsonText(writeCatalog(ordered.catalog))}`] : []),
    ...(result === undefined ? [] : [`result: ${jsonText(result)}`]),
  ];
  return { ok: true, text: lines.map((line) => `${line}\n`).join('') };
}
