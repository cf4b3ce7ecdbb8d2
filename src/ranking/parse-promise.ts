/**
 * Reads what a plan promises under `result`. The plan itself is read in `layout/parse-plan.ts`; what a
 * promise means is in `promise.ts`, and it is written by `report/design-json.ts`.
 */
import type { Checked, Finding } from '../base/finding.js';
import { HEADINGS } from '../base/geometry.js';
import { JsonNode } from '../base/json-node.js';
import { isLess, ONE, parseRational, ZERO, type Rational } from '../base/rational.js';
import { MOST_SPOTTING } from '../base/ground.js';
import { MOST_STARTS } from '../brief/brief.js';
import type { PlanPromise, PromisedExit, PromisedWagon } from './promise.js';

export type PromiseCode = 'promise-malformed';

/** `plan`: the whole document. Undefined where it promises nothing; what it promises amiss is told all at once. */
export function parsePromise(plan: unknown): Checked<PlanPromise | undefined, PromiseCode> {
  const root = new JsonNode(plan, new Set()).at('result');
  if (!root.isPresent || root.entries().length === 0) return { ok: true, value: undefined, warnings: [] };
  const findings: Finding<PromiseCode>[] = [];
  const need = <T>(node: JsonNode, value: T | undefined, what: string): T | undefined => {
    if (value === undefined) {
      findings.push({ severity: 'error', code: 'promise-malformed', pointer: node.pointer, values: { what } });
    }
    return value;
  };
  const rational = (node: JsonNode): Rational | undefined => need(node, parseRational(node.text() ?? ''), 'a rate such as "3/8"');
  const whole = (node: JsonNode, most = Number.MAX_SAFE_INTEGER): number | undefined => {
    const value = node.whole();
    const what = `a whole number${most === Number.MAX_SAFE_INTEGER ? '' : ` from 0 to ${most}`}`;
    return need(node, value !== undefined && value >= 0 && value <= most ? value : undefined, what);
  };
  const share = (node: JsonNode): Rational | undefined => {
    const value = parseRational(node.text() ?? '');
    return need(node, value !== undefined && isLess(ZERO, value) && !isLess(ONE, value) ? value : undefined, 'a share above 0 and up to 1, such as "9/10",');
  };
  /** Empty where it is left out. */
  const list = (node: JsonNode): readonly JsonNode[] => (node.isPresent ? need(node, node.isList ? node.items() : undefined, 'a list') ?? [] : []);

  const exits = list(root.at('exits')).flatMap((node): PromisedExit[] => {
    const numbers = need(node.at('at'), node.at('at').wholes(2), 'a tile, [x, y]');
    const heading = need(node.at('heading'), node.at('heading').oneOf(HEADINGS), 'a heading');
    const flow = rational(node.at('flow'));
    const left = rational(node.at('left'));
    const right = rational(node.at('right'));
    if (!numbers || !heading || !flow || !left || !right) return [];
    return [{ at: { x: numbers[0], y: numbers[1] }, heading, flow, left, right }];
  });
  const into = root.at('wagons');
  const wagons = list(into).flatMap((node): PromisedWagon[] => {
    const at = need(node.at('at'), node.at('at').whole(), 'the least x that the wagon covers');
    const inflow = rational(node.at('inflow'));
    return at === undefined || inflow === undefined ? [] : [{ at, inflow }];
  });
  const sum = root.at('together');
  const together = sum.isPresent ? rational(sum.at('flow')) : undefined;
  const cost = whole(root.at('cost'));
  const starts = root.at('starts').isPresent ? whole(root.at('starts'), MOST_STARTS) : 0;
  const seed = root.at('seed').isPresent ? whole(root.at('seed')) : 1;
  const presence = root.at('presence').isPresent ? share(root.at('presence')) : ONE;
  const spotting = root.at('spotting').isPresent ? whole(root.at('spotting'), MOST_SPOTTING) : 0;
  if (
    findings.length > 0 ||
    cost === undefined ||
    starts === undefined ||
    seed === undefined ||
    presence === undefined ||
    spotting === undefined
  ) {
    return { ok: false, findings };
  }
  return { ok: true, value: { exits, ...(into.isPresent ? { wagons } : {}), together, cost, starts, seed, presence, spotting }, warnings: [] };
}
