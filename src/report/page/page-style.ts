/**
 * The look of a page: light, dark and on paper, from a phone to a wide screen. Colours of pictures are in
 * `svg/picture-style.ts`. States are told apart by pattern as well as by colour.
 */

const LIGHT = `--sheet:#fbfaf6;--panel:#ffffff;--ink:#24272c;--faint:#5d626b;--edge:#d5d4cd;--mark:#2f55c0;
--flow:#167a6c;--moving:#2f55c0;--blocked:#b5452f;--starved:#74777f;--drain:#8a5c33;--gap:#9a5b00;--track:#e9e8e2`;
const DARK = `--sheet:#15181c;--panel:#1b1f24;--ink:#e8e6e0;--faint:#a0a5ae;--edge:#363c45;--mark:#86a8ff;
--flow:#45bfab;--moving:#86a8ff;--blocked:#e88a74;--starved:#9a9da8;--drain:#cb9c70;--gap:#e0b063;--track:#2b3138`;

/** The colours alone, by name. */
export const PALETTE_STYLE = `:root{color-scheme:light dark;${LIGHT}}
@media screen and (prefers-color-scheme:dark){:root{${DARK}}}`;

export const PAGE_STYLE = `
${PALETTE_STYLE}
*{box-sizing:border-box}
a{color:var(--mark)}
[hidden]{display:none!important}
body{margin:0;background:var(--sheet);color:var(--ink);font:15px/1.5 system-ui,sans-serif}
header,main,footer{max-width:1240px;margin:0 auto;padding:0 20px}
header{padding-top:20px}
h1{font-size:1.5rem;line-height:1.25;margin:0 0 .25em}
h2{font-size:1.15rem;margin:1.6em 0 .5em}
h3{font-size:1rem;margin:1.2em 0 .3em}
p,li{max-width:75ch}
p{margin:.4em 0}
footer{margin:3em auto 2em;color:var(--faint);font-size:.87rem}
.note{color:var(--faint);font-size:.87rem}
.unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
button,select,input{font:inherit;color:inherit;background:var(--panel);border:1px solid var(--edge);border-radius:6px;padding:.3em .7em;min-height:36px}
button{cursor:pointer}
button:hover{border-color:var(--mark)}
:focus-visible{outline:3px solid var(--mark);outline-offset:2px}
input[type=number]{width:6.5em}
input[type=checkbox]{min-height:0;vertical-align:middle}
.axes,.controls{display:flex;flex-wrap:wrap;gap:8px 12px;align-items:center;margin:8px 0}
.together{display:inline-flex;gap:4px}
.overview-columns{display:grid;grid-template-columns:minmax(0,1fr) minmax(220px,340px);gap:20px;align-items:start}
.plot svg{display:block;width:100%;height:auto;background:var(--panel);border:1px solid var(--edge);border-radius:8px}
.plot text{font:12px system-ui,sans-serif;fill:var(--faint)}
.plot .name{fill:var(--ink);font-weight:600}
.plot .grid{stroke:var(--track)}
.plot .axis{stroke:var(--faint)}
.plot .front{fill:none;stroke:var(--flow);stroke-width:2}
.plot .lead{stroke:var(--faint)}
.plot .dot{cursor:pointer;outline:none}
.plot .dot .shape{fill:var(--panel);stroke:var(--flow);stroke-width:2}
.plot .dot.best .shape{fill:var(--flow)}
.plot .dot text{font-size:9px;font-weight:600;fill:var(--ink);pointer-events:none}
.plot .dot.best text{fill:var(--panel)}
.plot .dot .ring{fill:none;stroke:none;stroke-width:2}
.plot .dot[aria-selected=true] .ring{stroke:var(--ink)}
.plot .dot.near .ring{stroke:var(--mark);stroke-dasharray:3 2}
.plot .dot:focus-visible .ring{stroke:var(--mark);stroke-width:3;stroke-dasharray:none}
.preview{background:var(--panel);border:1px solid var(--edge);border-radius:8px;padding:10px 12px}
.preview h3{margin:0 0 4px}
.preview svg{display:block;width:100%;height:auto;max-height:340px}
.cards{list-style:none;margin:0;padding:4px;display:grid;grid-auto-flow:column;grid-auto-columns:200px;gap:12px;overflow-x:auto;scroll-snap-type:x proximity}
.cards li{scroll-snap-align:start}
.card{display:flex;flex-direction:column;width:100%;height:100%;padding:10px;text-align:left;border-radius:8px;position:relative}
.card[aria-pressed=true]{border-color:var(--mark);box-shadow:inset 0 0 0 2px var(--mark)}
.card.near{border-color:var(--mark);border-style:dashed}
.card .badge{font-weight:700}
.card .tag{position:absolute;top:10px;right:10px;font-size:.75rem;border:1px solid var(--flow);border-radius:9px;padding:0 7px}
.thumb{display:flex;justify-content:center;align-items:center;height:220px;margin:6px 0}
.thumb svg{width:100%;height:100%}
.card-figures{display:flex;flex-wrap:wrap;gap:0 12px;margin-top:auto;font-size:.87rem;color:var(--faint)}
.card-figures b{color:var(--ink)}
.figures{display:flex;flex-wrap:wrap;gap:6px 24px;margin:.4em 0 1em}
.figures div{display:flex;flex-direction:column}
.figures dt{color:var(--faint);font-size:.8rem}
.figures dd{margin:0;font-weight:600}
.detail-columns{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:28px;align-items:start}
.stage{position:sticky;top:8px}
.picture svg{display:block;width:100%;height:auto;max-height:74vh;margin:0 auto}
.picture .moves>g:not(.live) :is(.st-arm,.st-grip,.st-tool){opacity:.25}
.picture .moves:not(.lines)>g:not(.live) :is(.st-flow,.st-lane){opacity:.2}
.live .rod{stroke-width:3.5;stroke-linecap:round}
.live .hand text{font:600 10px system-ui,sans-serif;text-anchor:middle}
.clock{font-variant-numeric:tabular-nums;color:var(--faint)}
.tapes svg{display:block;width:100%;height:auto}
.tapes text{font:11px system-ui,sans-serif;fill:var(--faint)}
.tapes .load{fill:var(--flow)}
.tapes .hole{fill:none;stroke:var(--gap);stroke-width:1.5;stroke-dasharray:3 2}
.tapes .axis{stroke:var(--faint)}
.tapes .way{fill:var(--track)}
.tapes h3{margin:.8em 0 .1em}
.scroll{overflow-x:auto;margin:0 0 1.1em}
p+.scroll{margin-top:1.1em}
table{border-collapse:collapse;width:100%;font-size:.9rem}
caption{text-align:left;font-weight:600;padding-bottom:4px}
th,td{padding:3px 10px 3px 0;text-align:left;font-weight:400;white-space:nowrap}
thead th.number{text-align:right}
thead th{color:var(--faint);font-size:.8rem;border-bottom:1px solid var(--edge)}
.number{text-align:right;font-variant-numeric:tabular-nums}
tr[data-at].near{background:var(--track)}
.picture .moves>g.near:not(.live) .st-arm{stroke-width:5;opacity:1}
.bar{display:inline-flex;width:110px;height:12px;background:var(--track);border-radius:2px;overflow:hidden;vertical-align:middle}
.piece.flow{background:var(--flow)}
.piece.drain{background:var(--drain)}
.piece.moving{background:var(--moving)}
.piece.blocked{background:repeating-linear-gradient(135deg,var(--blocked) 0 3px,transparent 3px 6px)}
.piece.starved{background:repeating-linear-gradient(90deg,var(--starved) 0 2px,transparent 2px 5px)}
@media (max-width:820px){
.overview-columns{grid-template-columns:minmax(0,1fr)}
}
@media (max-width:980px){
.detail-columns{grid-template-columns:minmax(0,1fr)}
.stage{position:static}
}
@media (max-width:560px),(min-width:981px) and (max-width:1180px){
.bar{display:none}
}
@media (max-width:560px){
th,td{padding-right:6px;font-size:.8rem}
th,td:not(.number){white-space:normal}
tr[data-at] th{white-space:nowrap}
}
@media print{
html{font-size:12px}
body{font-size:11px}
.card .tag{position:static;align-self:flex-start}
.controls,.axes,.tapes,.live,.plot+.note,.preview a{display:none!important}
.picture .moves>g *{opacity:1!important}
.stage{position:static}
.cards{grid-auto-flow:row;grid-template-columns:repeat(4,1fr);overflow:visible}
.card,table,.picture,.plot{break-inside:avoid}
*{print-color-adjust:exact}
}
`.trim();
