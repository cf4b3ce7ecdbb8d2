/**
 * The colours and strokes of pictures, for light and dark and for paper. Hues are those of the terminal
 * (`ink.ts`), darker on a light ground. No meaning rests on colour alone: states differ by stroke, parts by shape.
 * Colours are spelled out rather than named by variables, since not every viewer of SVG knows those.
 */

type Rule = readonly [selector: string, property: 'fill' | 'stroke', light: string, dark: string];

/** Every class begins with "st-", so that a picture can stand inside a page. */
const RULES: readonly Rule[] = [
  ['st-sheet', 'fill', '#fbfaf6', '#15181c'],
  ['st-site', 'fill', '#ffffff', '#1b1f24'],
  ['st-site', 'stroke', '#8a8d94', '#6e737c'],
  ['st-dot', 'fill', '#c9c8c2', '#434851'],
  ['st-text', 'fill', '#24272c', '#e8e6e0'],
  ['st-faint', 'fill', '#666a72', '#a0a5ae'],
  ['st-closed', 'stroke', '#a9a7a0', '#5a5f68'],
  ['st-rail', 'stroke', '#b5b6ba', '#50555e'],
  ['st-wagon', 'fill', '#eceef1', '#262b32'],
  ['st-wagon', 'stroke', '#626874', '#9aa0ae'],
  ['st-bed', 'stroke', '#e4e7e6', '#2b3138'],
  ['st-tier1', 'stroke', '#54707f', '#8fabb9'],
  ['st-tier2', 'stroke', '#167a6c', '#45bfab'],
  ['st-tier3', 'stroke', '#8247ad', '#c393e3'],
  ['st-tip1', 'fill', '#54707f', '#8fabb9'],
  ['st-tip2', 'fill', '#167a6c', '#45bfab'],
  ['st-tip3', 'fill', '#8247ad', '#c393e3'],
  ['st-tip', 'stroke', '#ffffff', '#1b1f24'],
  ['st-idle', 'fill', '#b9bdbd', '#545b63'],
  ['st-arm', 'stroke', '#2f55c0', '#86a8ff'],
  ['st-grip', 'fill', '#ffffff', '#1b1f24'],
  ['st-grip', 'stroke', '#2f55c0', '#86a8ff'],
  ['st-tool', 'fill', '#2f55c0', '#86a8ff'],
  ['st-chest', 'fill', '#f0e3d5', '#3a2d22'],
  ['st-chest', 'stroke', '#8a5c33', '#cb9c70'],
  ['st-leave', 'fill', '#3f7d24', '#8bcb60'],
  ['st-badge', 'fill', '#ffffff', '#15181c'],
  ['st-badge', 'stroke', '#3f7d24', '#8bcb60'],
  ['st-item', 'fill', '#8d2f68', '#f0a6cf'],
  ['st-item', 'stroke', '#ffffff', '#15181c'],
];

const SHAPES = `
.st-picture text{font:11px system-ui,sans-serif}
.st-site{stroke-width:1.5}
.st-closed,.st-rail{stroke-width:1;fill:none}
.st-rail{stroke-dasharray:3 3}
.st-wagon,.st-chest,.st-box{stroke-width:1.5}
.st-bed{stroke-width:10;fill:none}
.st-lane,.st-flow,.st-box,.st-stop,.st-hatch{fill:none}
.st-lane{stroke-width:2}
.st-box{stroke-width:2}
.st-line{stroke-width:4;stroke-dasharray:4 2}
.st-under{stroke-width:2;stroke-dasharray:1 5;fill:none}
.st-hatch{stroke-width:2}
.st-stop{stroke-width:3}
.st-tip{stroke-width:1.5;paint-order:stroke}
.st-arm{stroke-width:2.5;fill:none}
.st-reach{stroke-width:1.2;stroke-dasharray:2 3}
.st-grip,.st-badge{stroke-width:2}
.st-item{stroke-width:1}
.st-picture .st-strong{font-weight:600}
.st-picture .st-title{font-size:14px;font-weight:600}
.st-picture .st-small{font-size:9.5px}
`.trim();

const rulesOf = (pick: (rule: Rule) => string): string =>
  RULES.map((rule) => `.${rule[0]}{${rule[1]}:${pick(rule)}}`).join('\n');

const light = ([, , color]: Rule): string => color;
const dark = ([, , , color]: Rule): string => color;

/** Paper is light, whatever the reader's screen is. */
export const PICTURE_STYLE = [
  SHAPES,
  rulesOf(light),
  `@media screen and (prefers-color-scheme:dark){\n${rulesOf(dark)}\n}`,
].join('\n');
