/**
 * Reads shares and flows, as every target of a brief states them, whatever its job. Rates become items per tick here.
 */
import type { Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { parseRate } from '../base/rate.js';
import { compare, formatRational, isLess, ONE, parseRational, ratio, ZERO, type Rational } from '../base/rational.js';
import { shown } from '../base/schema-check.js';

export type FlowCode = 'not-a-share' | 'share-over-one' | 'share-zero' | 'fill-and-rate' | 'not-a-rate' | 'target-over-capacity';

/** Takes a finding at a node; an error where no severity is named. */
export type Report<Code extends string> = (code: Code, node: JsonNode, values?: Finding['values'], severity?: Finding['severity']) => void;

/** A share from 0 (only where `zero` allows it) to 1. */
export function readShare(node: JsonNode, zero: boolean, report: Report<FlowCode>): Rational | undefined {
  const text = node.text();
  if (text === undefined) return undefined;
  const share = parseRational(text);
  if (share === undefined) report('not-a-share', node, { found: shown(text) });
  else if (isLess(ONE, share)) report('share-over-one', node, { found: shown(text) });
  else if (!zero && compare(share, ZERO) === 0) report('share-zero', node);
  else return share;
  return undefined;
}

/** `bad`: something stands there that has a finding, whoever reported it. */
export type Flow = { readonly kind: 'absent' } | { readonly kind: 'bad' } | { readonly kind: 'flow'; readonly itemsPerTick: Rational };

export const BAD: Flow = { kind: 'bad' };

/** Reads fill (a share of `capacity`) or rate as items per tick, at most `capacity`. */
export function readFlow(node: JsonNode, capacity: Rational, ticksPerSecond: number, report: Report<FlowCode>): Flow {
  const fill = node.at('fill');
  const rate = node.at('rate');
  if (fill.isPresent && rate.isPresent) {
    report('fill-and-rate', node);
    return BAD;
  }
  if (fill.isPresent) {
    const share = readShare(fill, true, report);
    return share === undefined ? BAD : { kind: 'flow', itemsPerTick: share.mul(capacity) };
  }
  if (!rate.isPresent) return { kind: 'absent' };
  const text = rate.text();
  if (text === undefined) return BAD;
  const itemsPerTick = parseRate(text, ticksPerSecond);
  if (itemsPerTick === undefined) {
    report('not-a-rate', rate, { found: shown(text) });
    return BAD;
  }
  if (isLess(capacity, itemsPerTick)) {
    const perSecond = `${formatRational(capacity.mul(ratio(ticksPerSecond)))}/s`;
    report('target-over-capacity', rate, { found: shown(text), capacity: formatRational(capacity), perSecond });
    return BAD;
  }
  return { kind: 'flow', itemsPerTick };
}
