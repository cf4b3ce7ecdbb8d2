/** Layouts on their way from one thread to another: as plan documents, in which exits and entries stand by place, and with these in the brief's order. */
import { sameTile, type Heading, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import type { Catalog } from '../catalog/catalog.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import { parsePlan } from '../layout/parse-plan.js';
import { writePlan } from '../layout/write-plan.js';

interface Edge {
  readonly at: Tile;
  readonly heading: Heading;
}

/** Plain data. */
export interface FoundPlan {
  readonly plan: unknown;
  readonly exits: readonly Edge[];
  readonly entries: readonly Edge[];
}

const edge = ({ at, heading }: Edge): Edge => ({ at, heading });

export const writeFound = (layout: Layout): FoundPlan => ({ plan: writePlan(layout), exits: layout.exits.map(edge), entries: entriesOf(layout).map(edge) });

function inOrder<E extends Edge>(placed: readonly E[], order: readonly Edge[]): readonly E[] {
  return order.map(({ at, heading }) => {
    const found = placed.find((other) => sameTile(other.at, at) && other.heading === heading);
    invariant(found !== undefined, 'a plan has the exits and entries that come with it', { at });
    return found;
  });
}

export function readFound({ plan, exits, entries }: FoundPlan, catalog: Catalog): Layout {
  const layout = parsePlan(plan, catalog);
  invariant(layout.ok, 'a thread sends back a sound plan', {});
  const { value } = layout;
  return { ...value, exits: inOrder(value.exits, exits), ...(value.entries === undefined ? {} : { entries: inOrder(value.entries, entries) }) };
}
