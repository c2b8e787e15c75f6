"""How the page looks and its one touch of script."""

from __future__ import annotations

STYLE = """
:root { color-scheme: light; --ink: #1b1f24; --soft: #56606a; --line: #d5dbe1; --tint: #f3f6f9;
  --blue: #1f5fa8; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 84rem; padding: 1.25rem 1rem 4rem; color: var(--ink); background: #fff;
  font: 1rem/1.5 system-ui, -apple-system, "Segoe UI", "Liberation Sans", Arial, sans-serif; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0 0 .25rem; overflow-wrap: anywhere; }
h2 { font-size: 1.2rem; margin: 2.5rem 0 .75rem; padding-top: .75rem; border-top: 1px solid var(--line); }
h3 { font-size: 1rem; margin: 1.25rem 0 .4rem; overflow-wrap: anywhere; }
p { margin: .4rem 0; max-width: 46rem; }
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
.view { overflow-x: auto; border: 1px solid var(--line); }
.view svg { display: block; width: 100%; height: auto; min-width: 40rem; }
.long .view svg { min-width: 76rem; }
.regions path { cursor: pointer; }
.regions .lit { fill: #b9d6f2; fill-opacity: 1; }
.table { overflow-x: auto; }
table { border-collapse: collapse; min-width: min(100%, 30rem); font-size: .92rem;
  font-variant-numeric: tabular-nums; }
caption { text-align: left; color: var(--soft); padding-bottom: .3rem; }
th, td { padding: .3rem .6rem; border-bottom: 1px solid var(--line); text-align: left; vertical-align: top; }
td { overflow-wrap: anywhere; min-width: 3rem; }
th { border-bottom: 2px solid var(--ink); font-weight: 600; }
.n { text-align: right; white-space: nowrap; }
tr.sum td { border-top: 2px solid var(--ink); font-weight: 600; }
tr.chosen td { background: var(--tint); font-weight: 600; }
tr[data-part] { cursor: pointer; }
tr.lit td { background: #d9e9f8; }
a { color: var(--blue); }
.cautions dt { font-weight: 600; margin-top: .6rem; }
.cautions dd { margin: 0; max-width: 46rem; }
@media print {
  @page { margin: 14mm; }
  body { max-width: none; padding: 0; font-size: 10pt; }
  h2, h3 { break-after: avoid; }
  article, figure, tr, .warning, dl.facts div { break-inside: avoid; }
  .view { overflow: visible; border: 0; }
  .view svg, .long .view svg { min-width: 0; max-height: 230mm; }
  .table { overflow: visible; }
  a { color: inherit; text-decoration: none; }
  .screen { display: none; }
}
"""

SCRIPT = """
const rows = document.querySelectorAll('tr[data-part]');
const names = new Set(Array.from(rows, row => row.dataset.part));
let lit = null;
function light(event) {
  if (event.target.closest('a')) return;
  const touched = event.target.closest('[data-part]');
  const name = touched && names.has(touched.dataset.part) ? touched.dataset.part : null;
  lit = name === lit ? null : name;
  for (const item of document.querySelectorAll('.regions [data-part], tr[data-part]'))
    item.classList.toggle('lit', item.dataset.part === lit);
}
document.addEventListener('click', light);
document.addEventListener('keydown', event => {
  if ((event.key === 'Enter' || event.key === ' ') && event.target.matches('tr[data-part]')) {
    event.preventDefault();
    light(event);
  }
});
"""
