/**
 * What has left over one exit lately, lane by lane, as SVG text: items as blocks one pitch long, and what is missing
 * between them. The right end of a tape is the exit; the further left, the longer ago.
 */
import { scaleLinear } from 'd3-scale';
import { element, empty, escaped } from '../report/svg/markup.js';
import type { Tape } from './station-run.js';

interface TapeLane {
  readonly name: string;
  readonly tape: Tape;
}

const LEAST_WIDTH = 260;
const MARGIN = 10;
const LANE = 30;
const TOP = 14;
/** A tape shows one pitch for so many pixels, up to `MOST_PITCHES`. */
const PIXELS_PER_PITCH = 18;
const MOST_PITCHES = 30;

/** Gaps between an item and the one before it, in pitches, where they are more than one. */
export function holesOf({ beyond }: Tape, pitch: number): readonly { readonly from: number; readonly to: number }[] {
  return beyond.slice(1).flatMap((ahead, index) => {
    const behind = beyond[index];
    return ahead - behind > pitch ? [{ from: behind, to: ahead - pitch }] : [];
  });
}

/** `pitch` in units; `room`: pixels across that there are. */
export function tapeSvg(lanes: readonly TapeLane[], pitch: number, label: string, room: number): string {
  const width = Math.max(LEAST_WIDTH, Math.round(room));
  const length = Math.min(MOST_PITCHES, Math.floor((width - 2 * MARGIN) / PIXELS_PER_PITCH));
  const x = scaleLinear([0, length], [width - MARGIN, MARGIN]);
  const floor = TOP + lanes.length * LANE;
  const rows = lanes.map(({ name, tape }, index) => {
    const y = TOP + index * LANE;
    /** From and to in pitches beyond the exit. */
    const block = (className: string, from: number, to: number): string => {
      const [left, right] = [x(Math.min(length, to)), x(Math.max(0, from))];
      return right - left < 0.5 ? '' : empty('rect', { class: className, x: left, y: y + 4, width: right - left, height: 12, rx: 2 });
    };
    // `beyond` is an item's front; behind it, one pitch is its own.
    const loads = tape.beyond.map((front) => block('load', front / pitch - 0.86, front / pitch));
    const holes = holesOf(tape, pitch).map(({ from, to }) => {
      const [near, far] = [from / pitch, Math.min(length, to / pitch)];
      const fits = far - near > 1.4;
      const words = fits ? element('text', { x: x((near + far) / 2), y: y + 14, 'text-anchor': 'middle' }, ((to - from) / pitch).toFixed(1)) : '';
      return block('hole', near + 0.14, far - 0.14) + words;
    });
    return [
      empty('rect', { class: 'way', x: MARGIN, y: y + 2, width: width - 2 * MARGIN, height: 16, rx: 2 }),
      ...loads,
      ...holes,
      element('text', { x: MARGIN, y: y - 2 }, escaped(name)),
    ].join('');
  });
  const ticks = x.ticks(5).map((pitches) =>
    element('text', { x: x(pitches), y: floor + 14, 'text-anchor': pitches === 0 ? 'end' : 'middle' }, pitches === 0 ? 'exit' : String(pitches)),
  );
  return element(
    'svg',
    { viewBox: `0 0 ${width} ${floor + 22}`, role: 'img', 'aria-label': label },
    ...rows,
    empty('path', { class: 'axis', d: `M${MARGIN} ${floor}H${width - MARGIN}` }),
    ...ticks,
  );
}
