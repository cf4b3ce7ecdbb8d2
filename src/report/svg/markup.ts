/**
 * SVG and HTML as text: elements with escaped attributes. Children are markup already; texts go through `escaped`.
 */
import type { Tile } from '../../base/geometry.js';

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

export const escaped = (text: string): string => text.replace(/[&<>"]/g, (sign) => ENTITIES[sign]);

/** Undefined and false leave an attribute out; true writes it without a value. */
type Attributes = Readonly<Record<string, string | number | boolean | undefined>>;

/** Coordinates to a hundredth of a pixel, without trailing zeros. */
export const rounded = (value: number): number => Math.round(value * 100) / 100;

function attributeText(attributes: Attributes): string {
  return Object.entries(attributes)
    .map(([name, value]) => {
      if (value === undefined || value === false) return '';
      if (value === true) return ` ${name}`;
      return ` ${name}="${typeof value === 'number' ? rounded(value) : escaped(value)}"`;
    })
    .join('');
}

export const element = (name: string, attributes: Attributes, ...children: readonly string[]): string =>
  `<${name}${attributeText(attributes)}>${children.join('')}</${name}>`;

/** Of SVG and of HTML's void elements alike. */
export const empty = (name: string, attributes: Attributes): string => `<${name}${attributeText(attributes)}/>`;

/** A group with the words that show where a pointer rests on it, if `details` are wanted. */
export const titled = (details: boolean, title: string, ...children: readonly string[]): string => titledAt(undefined, details, title, ...children);

/** The same; `at`: by which the rows of a table find what is drawn there. */
export const titledAt = (at: Tile | undefined, details: boolean, title: string, ...children: readonly string[]): string =>
  element('g', { 'data-at': at && `${at.x},${at.y}` }, ...(details ? [element('title', {}, escaped(title))] : []), ...children);
