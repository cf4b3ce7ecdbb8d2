/**
 * What moves on top of a picture: items on lanes, arms with what they hold. Elements are made once and moved;
 * where they go comes from the geometry that has drawn the picture.
 */
import type { Catalog } from '../catalog/catalog.js';
import type { Layout, PlacedArm } from '../layout/layout.js';
import { centreOf, handAt, pointOn, QUARTER, TILE, type Point } from '../report/svg/lane-geometry.js';
import { reachPixels } from '../report/svg/layout-svg.js';
import type { ArmState, ItemPlace, Run } from '../simulation/run.js';

const SVG = 'http://www.w3.org/2000/svg';

/** Pixels across: a little less than the pitch, so that items without a gap all but touch, and never wider than their lane. */
const itemSize = ({ pitch, unitsPerTile }: Catalog): number => Math.max(4, Math.min(QUARTER, ((pitch * TILE) / unitsPerTile) * 0.86));

function make<K extends keyof SVGElementTagNameMap>(name: K, attributes: Readonly<Record<string, string | number>>): SVGElementTagNameMap[K] {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}

const placed = ({ x, y }: Point): string => `translate(${x.toFixed(2)} ${y.toFixed(2)})`;

/** Whether an item is below the ground, between the two ends of an underpass. */
const isBelow = ({ tile }: ItemPlace, run: Run, carrier: number): boolean => {
  const { kind, tail, head } = run.network.carriers[carrier];
  if (kind !== 'underpass') return false;
  return !(tile.x === tail.x && tile.y === tail.y) && !(tile.x === head.x && tile.y === head.y);
};

/** 0 at the pick side, 1 at the place side. */
function swingShare({ phase, ticksToGo }: ArmState, swingTicks: number): number {
  const gone = swingTicks > 0 ? 1 - ticksToGo / swingTicks : 1;
  switch (phase) {
    case 'swinging-out':
      return gone;
    case 'placing':
      return 1;
    case 'swinging-back':
      return 1 - gone;
    case 'picking':
    case 'idle':
      return 0;
  }
}

interface ArmShape {
  readonly rod: SVGLineElement;
  readonly hand: SVGGElement;
  readonly text: SVGTextElement;
}

export class LiveLayer {
  readonly #layer = make('g', { class: 'live', 'aria-hidden': 'true' });
  readonly #items = make('g', {});
  readonly #itemPool: SVGCircleElement[] = [];
  readonly #arms: readonly ArmShape[];
  readonly #placedArms: readonly PlacedArm[];

  constructor(picture: SVGSVGElement, layout: Layout, run: Run) {
    this.#placedArms = run.network.arms.flatMap(({ part }) => {
      const arm = layout.parts[part];
      return arm.kind === 'arm' ? [arm] : [];
    });
    this.#layer.append(this.#items);
    this.#arms = this.#placedArms.map((arm) => {
      const centre = centreOf(arm.at);
      const rod = make('line', { class: 'st-arm rod', x1: centre.x, y1: centre.y });
      const hand = make('g', { class: 'hand' });
      const text = make('text', { class: 'st-text', y: 3.5 });
      hand.append(make('circle', { class: 'st-grip', r: 8 }), text);
      this.#layer.append(rod, make('circle', { class: 'st-tool', r: 3, cx: centre.x, cy: centre.y }), hand);
      return { rod, hand, text };
    });
    picture.append(this.#layer);
  }

  show(run: Run): void {
    let used = 0;
    for (const item of run.items()) {
      if (isBelow(item, run, item.carrier)) continue;
      const share = item.length > 0 ? item.position / item.length : 1;
      let shape = this.#itemPool[used];
      if (shape === undefined) {
        shape = make('circle', { class: 'st-item', r: itemSize(run.layout.catalog) / 2 });
        this.#itemPool.push(shape);
        this.#items.append(shape);
      }
      shape.setAttribute('transform', placed(pointOn(run.network.carriers[item.carrier], item.lane, share)));
      shape.removeAttribute('display');
      used += 1;
    }
    for (const spare of this.#itemPool.slice(used)) spare.setAttribute('display', 'none');
    run.arms().forEach((state, index) => {
      const arm = this.#placedArms[index];
      const { rod, hand, text } = this.#arms[index];
      const at = handAt(arm.at, arm.heading, reachPixels(run.layout, arm), swingShare(state, arm.model.swingTicks));
      rod.setAttribute('x2', at.x.toFixed(2));
      rod.setAttribute('y2', at.y.toFixed(2));
      hand.setAttribute('transform', placed(at));
      text.textContent = state.held > 0 ? String(state.held) : '';
    });
  }
}
