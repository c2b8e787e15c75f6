"""How the page looks, on a screen and on paper."""

from __future__ import annotations

STYLE = """
:root { color-scheme: light; --ink: #1b1f24; --soft: #4d5761; --line: #c9d0d7; --tint: #f3f6f9;
  --blue: #1f5fa8; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0 auto; max-width: 84rem; padding: 1.25rem 1rem 4rem; color: var(--ink); background: #fff;
  font: 1rem/1.5 system-ui, -apple-system, "Segoe UI", "Liberation Sans", Arial, sans-serif; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0 0 .25rem; overflow-wrap: anywhere; }
h2 { font-size: 1.2rem; margin: 2.5rem 0 .75rem; padding-top: .75rem; border-top: 1px solid var(--line);
  overflow-wrap: anywhere; }
h3 { font-size: 1rem; margin: 1.25rem 0 .4rem; overflow-wrap: anywhere; }
p { margin: .4rem 0; max-width: 46rem; overflow-wrap: anywhere; }
li { overflow-wrap: anywhere; }
.lead { font-size: 1.1rem; }
.quiet, figcaption { color: var(--soft); font-size: .9rem; }
dl.facts { display: grid; grid-template-columns: repeat(auto-fit, minmax(9.5rem, 1fr)); gap: .75rem;
  margin: 1rem 0; }
dl.facts div { background: var(--tint); border-left: 3px solid var(--blue); padding: .6rem .8rem; }
dl.facts dt { color: var(--soft); font-size: .85rem; }
dl.facts dd { margin: 0; font-size: 1.25rem; font-weight: 600; overflow-wrap: anywhere; }
.warning { border: 2px solid var(--ink); padding: .5rem 1rem; margin: 1rem 0; }
.warning h2 { border: 0; margin: .25rem 0; padding: 0; font-size: 1.05rem; }
.warning ul { margin: .25rem 0; padding-left: 1.2rem; }
.again { font-weight: 600; border-left: 4px solid var(--ink); padding-left: .6rem; }
figure { margin: 1rem 0 1.75rem; }
figcaption { margin-top: .4rem; max-width: 60rem; }
.view { overflow: auto; border: 1px solid var(--line); }
.view svg { display: block; width: 100%; height: auto; min-width: 40rem; }
.long .view svg { min-width: 76rem; }
.plot .view { border: 0; }
.plot .view svg { min-width: 0; max-width: 30rem; }
.plot path { vector-effect: non-scaling-stroke; }
.plot .CUT { stroke-width: 2.5px; }
.plot .UNDERLAP { stroke-width: 1.5px; stroke-dasharray: 6px 4px; }
.plot .DIMENSION { stroke-width: 1px; }
.table { overflow-x: auto; }
table { border-collapse: collapse; min-width: min(100%, 30rem); font-size: .92rem;
  font-variant-numeric: tabular-nums; }
caption { text-align: left; color: var(--soft); padding-bottom: .3rem; }
th, td { padding: .3rem .6rem; border-bottom: 1px solid var(--line); text-align: left; vertical-align: top; }
td { overflow-wrap: anywhere; min-width: 3rem; }
th { border-bottom: 2px solid var(--ink); font-weight: 600; vertical-align: bottom; }
.n { text-align: right; white-space: nowrap; }
tr.sum td { border-top: 2px solid var(--ink); font-weight: 600; }
tr.chosen td { background: var(--tint); font-weight: 600; }
a { color: var(--blue); }
:focus-visible { outline: 3px solid var(--blue); outline-offset: 2px; }
.cautions dt { font-weight: 600; margin-top: .6rem; }
.cautions dd { margin: 0; max-width: 46rem; }
[hidden] { display: none !important; }
@media print {
  @page { margin: 14mm; }
  body { max-width: none; padding: 0; font-size: 10pt; }
  h2 { margin: 1.1rem 0 .4rem; padding-top: .4rem; }
  figure { margin: .5rem 0 .75rem; }
  h2, h3, section > .quiet { break-after: avoid; }
  article, figure, p, tr, .warning, dl.facts div { break-inside: avoid; }
  tfoot { display: table-row-group; }
  .view { overflow: visible; border: 0; }
  .view svg, .long .view svg { min-width: 0; max-height: 230mm; }
  .plot .view svg { width: 110mm !important; }
  .table { overflow: visible; }
  a { color: inherit; text-decoration: none; }
  .screen { display: none; }
}
"""
"""What every page has."""

PART_STYLE = """
body.choosing { padding-bottom: 9rem; }
.skip { position: absolute; left: -99rem; }
.skip:focus { position: static; }
nav ul { display: flex; flex-wrap: wrap; gap: 0 1.1rem; list-style: none; margin: 1rem 0; padding: 0; }
nav a { display: inline-block; padding: .6rem 0; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
.tools { display: flex; flex-wrap: wrap; align-items: center; gap: .4rem; margin: .5rem 0; }
button { font: inherit; color: var(--ink); background: #fff; border: 1px solid var(--ink); border-radius: 3px;
  min-height: 2.75rem; min-width: 2.75rem; padding: .25rem .65rem; cursor: pointer; }
button:hover { background: var(--tint); }
button[aria-pressed=true]::before { content: "\\2713\\a0"; }
button[aria-pressed=false]::before { content: "\\2715\\a0"; }
th button { min-height: 2rem; min-width: 0; padding: 0; border: 0; background: none; font-weight: 600;
  text-align: inherit; text-decoration: underline dotted; text-underline-offset: .25em; white-space: inherit; }
th button:focus-visible { outline-offset: 0; }
th[aria-sort=ascending] button::after { content: " \\25b2"; content: " \\25b2" / ""; }
th[aria-sort=descending] button::after { content: " \\25bc"; content: " \\25bc" / ""; }
.live .view[tabindex] { touch-action: pan-x pan-y; }
.view.zoomed { max-height: 80vh; cursor: grab; }
.view svg > g { pointer-events: none; }
.view svg > g.regions { pointer-events: auto; }
.regions [data-part] { cursor: pointer; }
.regions .lit path, html:not(.live) .regions a:target path { fill: #a9cdf0; fill-opacity: 1; }
.regions .lit path, html:not(.live) .regions a:target path, .regions a:focus-visible path { stroke: var(--blue);
  stroke-width: 5px; vector-effect: non-scaling-stroke; }
.regions a:focus-visible { outline: 3px solid var(--ink); outline-offset: 0; }
.bare figure:not(.plot) .RIVET, .bare .DRILL { display: none; }
.sorts td:not(.n) { max-width: 22rem; overflow-wrap: break-word; }
.sorts td:not(.n):not(:first-child) { min-width: 10rem; }
#buy td:last-child { min-width: 14rem; }
tr[data-part] { cursor: pointer; }
tr.lit td, html:not(.live) tr:target td { background: #d0e4f7; }
tr.lit td:first-child, html:not(.live) tr:target td:first-child { box-shadow: inset 4px 0 var(--blue); }
article, section, tr, .regions a { scroll-margin: 1rem 0 8rem; }
#chosen { position: fixed; z-index: 1; left: 0; right: 0; bottom: 0; display: flex; flex-wrap: wrap;
  align-items: center; gap: .25rem .9rem; padding: .4rem 1rem; background: #fff; border-top: 3px solid var(--blue); }
#chosen p { margin: 0; font-weight: 600; max-width: 100%; max-height: 3em; overflow: auto; }
#chosen a { display: inline-block; padding: .6rem 0; }
#chosen button { margin-left: auto; }
@media print {
  @page wide { size: landscape; margin: 14mm; }
  section:has(> .long) { page: wide; }
  body.choosing { padding: 0; }
  .view.zoomed { overflow: visible; max-height: none; }
  .view svg, .long .view svg { width: 100% !important; min-width: 0 !important; }
  .skip, .tools, nav, #chosen { display: none !important; }
  th button { min-height: 0; text-decoration: none; }
  th button::after { content: none !important; }
  .regions a path { fill-opacity: 0 !important; stroke: none !important; }
  tr td { background: none !important; box-shadow: none !important; }
}
"""
"""What the page of a plan has besides: parts to touch, drawings to zoom, tables to sort."""
