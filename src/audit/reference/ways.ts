/**
 * What lies past the end of each lane (world rules, section 2), and who therefore must have moved before whom (section 3).
 */
import { backOf, rightOf, sameTile, stepFrom } from '../../base/geometry.js';
import type { Side } from '../../layout/layout.js';
import { carrierAt, headsOf } from './carriers.js';
import type { Shapes } from './shapes.js';
import { SIDES, happened, type CarrierState, type Events, type ExitState, type Lanes } from './world.js';

/** By carrier: those to which it passes, and those behind a tee merge of its own, which both move before it. */
export interface Precedence {
  readonly passesTo: ReadonlyMap<CarrierState, readonly CarrierState[]>;
  readonly waitsForBehind: ReadonlyMap<CarrierState, readonly CarrierState[]>;
}

/** Links all lanes, and tells exits the speed with which items leave. */
export function linkWays(
  carriers: readonly CarrierState[],
  exits: readonly ExitState[],
  { feedersOf, turnsFrom }: Shapes,
  unitsPerTile: number,
  events: Events,
): Precedence {
  const passesTo = new Map<CarrierState, CarrierState[]>();
  const waitsForBehind = new Map<CarrierState, CarrierState[]>();
  for (const carrier of carriers) {
    const targets: CarrierState[] = [];
    const behinds: CarrierState[] = [];
    if (carrier.kind === 'splitter') {
      for (const half of SIDES) for (const side of SIDES) carrier.halves[half].input[side].way = { kind: 'line' };
    }
    for (const head of headsOf(carrier)) {
      const exit = exits.find((one) => one.placed.heading === head.heading && sameTile(one.placed.at, head.at));
      if (exit !== undefined) {
        exit.speed = head.lanes.left.speed;
        for (const side of SIDES) head.lanes[side].way = { kind: 'exit', exit, side };
        continue;
      }
      const ahead = stepFrom(head.at, head.heading);
      const target = carrierAt(carriers, ahead);
      if (target === undefined) {
        happened(events, 'shape: faces nothing');
        continue;
      }
      const flowInto = (lanes: Lanes): void => {
        for (const side of SIDES) {
          head.lanes[side].way = { kind: 'lane', lane: lanes[side] };
          lanes[side].before = head.lanes[side];
        }
        targets.push(target);
      };
      if (target.kind === 'splitter') {
        if (target.heading !== head.heading) happened(events, 'shape: into a splitter side');
        for (const half of SIDES) {
          if (sameTile(target.halves[half].at, ahead) && target.heading === head.heading) flowInto(target.halves[half].input);
        }
      } else if (target.kind === 'underpass') {
        if (sameTile(target.from, ahead) && target.heading === head.heading) flowInto(target.lanes);
        else happened(events, 'shape: into an underpass side');
      } else if (head.heading === backOf(target.heading)) {
        happened(events, 'shape: head on');
      } else if (head.heading === target.heading || turnsFrom(target.at, target.heading) !== undefined) {
        flowInto(target.lanes);
      } else {
        // A tee merge from the left of the target heads to the target's right, and the other way round.
        const nearSide: Side = head.heading === rightOf(target.heading) ? 'left' : 'right';
        const upstreamSide: Side = rightOf(head.heading) === backOf(target.heading) ? 'right' : 'left';
        const near = target.lanes[nearSide];
        for (const side of SIDES) {
          head.lanes[side].way = { kind: 'tee', near, join: side === upstreamSide ? unitsPerTile / 4 : (3 * unitsPerTile) / 4 };
        }
        targets.push(target);
        const behind = carrierAt(carriers, stepFrom(target.at, backOf(target.heading)));
        if (feedersOf(target.at, target.heading).behind && behind !== undefined) {
          behinds.push(behind);
          happened(events, 'shape: tee into through traffic');
        } else {
          happened(events, 'shape: opposed tee');
        }
      }
    }
    passesTo.set(carrier, targets);
    waitsForBehind.set(carrier, behinds);
  }
  return { passesTo, waitsForBehind };
}
