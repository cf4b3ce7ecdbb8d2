/**
 * JSON for people: a value that fits on a line stands on one, so that a plan has a line for each part.
 */

const WIDTH = 110;

/** `JSON.stringify` in another layout: what is undefined is left out, as there. Ends without a line break. */
export function jsonText(value: unknown, indent = ''): string {
  const flat = flatText(value);
  if (typeof value !== 'object' || value === null || indent.length + flat.length <= WIDTH) return flat;
  const inner = `${indent}  `;
  const [open, close] = Array.isArray(value) ? '[]' : '{}';
  const lines = Array.isArray(value)
    ? value.map((item: unknown) => `${inner}${jsonText(item, inner)}`)
    : Object.entries(value)
        .filter(([, member]) => member !== undefined)
        .map(([key, member]: [string, unknown]) => `${inner}${JSON.stringify(key)}: ${jsonText(member, inner)}`);
  return `${open}\n${lines.join(',\n')}\n${indent}${close}`;
}

function flatText(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(flatText).join(', ')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value) ?? 'null';
  const members = Object.entries(value).filter(([, member]) => member !== undefined);
  if (members.length === 0) return '{}';
  return `{${members.map(([key, member]) => `${JSON.stringify(key)}: ${flatText(member)}`).join(', ')}}`;
}
