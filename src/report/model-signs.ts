/**
 * The letters that tell models apart in a picture: a part has one only if the plan uses several models of its kind.
 * Splitters of one model that favour different halves have a letter each.
 */
import type { Layout, Part, PlacedWagon } from '../layout/layout.js';

/** Without those that are signs of pictures in ASCII, and without what looks like them. */
const SIGNS = [...'abcdefghijklmnpqrstuwxyzABCDEFGHIJKLMNPQRSTUWXYZ'];

/** How many models of a kind a picture can tell apart. */
export const MOST_SIGNS = SIGNS.length;

/** Stands for every further one; such a picture can't be read. */
const NO_SIGN = '?';

/** What a sign stands for. */
interface Variant {
  readonly kind: Part['kind'] | 'wagon';
  readonly model: string;
  readonly favourIn?: 'left' | 'right';
  readonly favourOut?: 'left' | 'right';
}

export interface SignedVariant extends Variant {
  /** Undefined where it is the only one of its kind. */
  readonly sign: string | undefined;
}

const variantOf = (part: Part): Variant => ({
  kind: part.kind,
  model: part.model.name,
  ...(part.kind === 'splitter' && part.favourIn !== undefined ? { favourIn: part.favourIn } : {}),
  ...(part.kind === 'splitter' && part.favourOut !== undefined ? { favourOut: part.favourOut } : {}),
});

const keyOf = ({ kind, model, favourIn, favourOut }: Variant): string => JSON.stringify([kind, model, favourIn ?? '', favourOut ?? '']);

const KINDS: readonly Variant['kind'][] = ['wagon', 'arm', 'chest', 'belt', 'splitter', 'underpass'];

/** What a plan is built of, by kind, then by name (code points). */
export function signedVariants({ parts, wagons }: Layout): readonly SignedVariant[] {
  const all: readonly Variant[] = [...wagons.map(({ model }): Variant => ({ kind: 'wagon', model: model.name })), ...parts.map(variantOf)];
  return KINDS.flatMap((kind) => {
    const ofKind = new Map(all.filter((variant) => variant.kind === kind).map((variant) => [keyOf(variant), variant]));
    const keys = [...ofKind.keys()].sort();
    return keys.flatMap((key, index) => {
      const variant = ofKind.get(key);
      return variant === undefined ? [] : [{ ...variant, sign: keys.length < 2 ? undefined : (SIGNS[index] ?? NO_SIGN) }];
    });
  });
}

const signsByKey = (layout: Layout): ReadonlyMap<string, string | undefined> =>
  new Map(signedVariants(layout).map((variant) => [keyOf(variant), variant.sign]));

export function modelSigns(layout: Layout): (part: Part) => string | undefined {
  const signs = signsByKey(layout);
  return (part) => signs.get(keyOf(variantOf(part)));
}

export function wagonSigns(layout: Layout): (wagon: PlacedWagon) => string | undefined {
  const signs = signsByKey(layout);
  return ({ model }) => signs.get(keyOf({ kind: 'wagon', model: model.name }));
}

/** All signs of one model, for the key of a picture; nothing where it is the only one of its kind. */
export const signsOfModel = (layout: Layout, kind: Part['kind'], model: string): string =>
  signedVariants(layout).flatMap((variant) => (variant.kind === kind && variant.model === model ? [variant.sign ?? ''] : [])).join('');
