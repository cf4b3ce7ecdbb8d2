/**
 * What a brief asks of full trains: how long one may stand, and how many there must be. Whether a layout gives that is
 * by formula (`ranking/train-formula.ts`); what follows for its flows alone is here.
 */
import { ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from './brief.js';

/** Whether layouts are limited or compared by their trains; then only those count that empty all wagons. */
export const asksForTrains = ({ limits, minimise }: Pick<Brief, 'limits' | 'minimise'>): boolean =>
  limits.dwell !== undefined || limits.trainsPerHour !== undefined || minimise.includes('dwell') || minimise.includes('trainsPerHour');

/** Items in a full train. */
export const fullLoad = ({ wagons }: Pick<Brief, 'wagons'>): Rational => sumRational(wagons.map(({ model }) => ratio(model.capacity)));

/** So many full trains an hour bring so many items per tick. */
export const flowOfTrains = (brief: Pick<Brief, 'wagons' | 'catalog'>, perHour: Rational): Rational =>
  perHour.mul(fullLoad(brief)).div(ratio(3600 * brief.catalog.ticksPerSecond));

/** What all exits together have to give for as many trains as the brief asks for; 0 where it asks for none. */
export const flowForTrains = (brief: Brief): Rational => (brief.limits.trainsPerHour === undefined ? ZERO : flowOfTrains(brief, brief.limits.trainsPerHour));
