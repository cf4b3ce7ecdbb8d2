/**
 * Where a brief or a plan keeps its catalog: inside itself, or in a file of its own.
 * Files are read by the command line; this only says which.
 */

type CatalogReference =
  /** Findings about this value are to be shown beneath `CATALOG_POINTER`. */
  | { readonly kind: 'inline'; readonly value: object }
  /** Relative to the folder of the file that names it. */
  | { readonly kind: 'path'; readonly path: string }
  /** The parsers of briefs and plans say what is wrong. */
  | { readonly kind: 'none' };

export const CATALOG_POINTER = '/catalog';

/** `json`: the whole brief or plan. */
export function catalogReference(json: unknown): CatalogReference {
  if (typeof json !== 'object' || json === null || !Object.hasOwn(json, 'catalog')) return { kind: 'none' };
  const catalog: unknown = Reflect.get(json, 'catalog');
  if (typeof catalog === 'string' && catalog !== '') return { kind: 'path', path: catalog };
  if (typeof catalog === 'object' && catalog !== null && !Array.isArray(catalog))
    return { kind: 'inline', value: catalog };
  return { kind: 'none' };
}
