"""The page's script: one part lit everywhere, drawings that zoom, rivets shown or not, tables that sort.

All of it is a comfort: without it the links, the drawings and the tables are the same.
"""

from __future__ import annotations

SCRIPT = r"""
'use strict';
const all = (query, inside = document) => Array.from(inside.querySelectorAll(query));

// One part is lit on its side, on its sheet and in the table; a bar leads from one to the other.
document.documentElement.classList.add('live');
const bar = document.getElementById('chosen');
let lit = null;
function light(name) {
  lit = name;
  const places = all('.regions [data-part], tr[data-part]').filter(item => {
    item.classList.toggle('lit', item.dataset.part === name);
    return item.dataset.part === name && item.id;
  });
  for (const link of all('a', bar)) {
    const place = places.find(item => item.id.startsWith(link.dataset.to));
    link.hidden = !place;
    if (place) link.setAttribute('href', '#' + place.id);
  }
  for (const words of all('.name')) words.textContent = name === null ? '' : name;
  bar.hidden = name === null;
  document.body.classList.toggle('choosing', name !== null);
}
document.addEventListener('click', event => {
  const touched = event.target.closest('.regions [data-part], tr[data-part]');
  if (!touched) return;
  const link = event.target.closest('a');
  const byKeyboard = event.detail === 0;
  if (link && (byKeyboard || !link.closest('.regions'))) {
    light(touched.dataset.part);
    return;
  }
  event.preventDefault();
  light(touched.dataset.part === lit ? null : touched.dataset.part);
});
all('button', bar)[0].addEventListener('click', () => light(null));
document.addEventListener('keydown', event => { if (event.key === 'Escape' && lit !== null) light(null); });
const asked = document.getElementById(location.hash.slice(1));
if (asked && asked.dataset.part !== undefined) light(asked.dataset.part);

// A drawing is zoomed by its width; moving about is the scrolling of the box around it.
const MOST = 24;
function zoom(view, factor, x, y) {
  const svg = view.querySelector('svg'), box = view.getBoundingClientRect();
  const before = svg.getBoundingClientRect();
  const byFingers = x !== undefined;
  if (!byFingers) {
    // the lit part is held where it is, if it can be seen; else the middle of the box
    const part = view.querySelector('.lit'), at = (part || view).getBoundingClientRect();
    x = at.left + at.width / 2; y = at.top + at.height / 2;
    if (x < box.left || x > box.right) x = box.left + box.width / 2;
    if (y < box.top || y > box.bottom) y = box.top + box.height / 2;
  }
  const across = (x - before.left) / before.width, down = (y - before.top) / before.height;
  const times = Math.min(MOST, Math.max(1, factor * before.width / view.clientWidth));
  svg.style.minWidth = '0';
  svg.style.width = 100 * times + '%';
  view.classList.toggle('zoomed', times > 1);
  const after = svg.getBoundingClientRect();
  view.scrollLeft += after.left + across * after.width - x;
  view.scrollTop += after.top + down * after.height - y;
  // buttons stay under the finger; between two fingers it is the drawing that stays
  if (byFingers) window.scrollBy(0, svg.getBoundingClientRect().top + down * after.height - y);
  all('output', view.parentNode)[0].textContent = times > 1 ? times.toFixed(1) + ' times' : 'whole';
}
const steps = { '+': 1.5, '=': 1.5, '-': 1 / 1.5, '0': 0 };
for (const view of all('.view[tabindex]')) {
  const tools = view.parentNode.querySelector('.tools');
  tools.hidden = false;
  tools.addEventListener('click', event => {
    const step = event.target.dataset.zoom;
    if (step) zoom(view, steps[step]);
  });
  view.addEventListener('keydown', event => {
    if (!(event.key in steps) || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    zoom(view, steps[event.key]);
  });
  view.addEventListener('wheel', event => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    zoom(view, Math.exp(-event.deltaY / 200), event.clientX, event.clientY);
  }, { passive: false });
  let apart = 0;
  const spread = touches => Math.hypot(
    touches[0].clientX - touches[1].clientX, touches[0].clientY - touches[1].clientY);
  view.addEventListener('touchstart', event => {
    apart = event.touches.length === 2 ? spread(event.touches) : 0;
    if (apart) event.preventDefault();
  }, { passive: false });
  view.addEventListener('touchmove', event => {
    if (!apart || event.touches.length !== 2) return;
    event.preventDefault();
    const [a, b] = event.touches, now = spread(event.touches);
    zoom(view, now / apart, (a.clientX + b.clientX) / 2, (a.clientY + b.clientY) / 2);
    apart = now;
  }, { passive: false });
  // A mouse drags the drawing; a drag is no touch of a part.
  let from = null, dragged = false;
  view.addEventListener('pointerdown', event => {
    dragged = false;
    from = event.pointerType === 'mouse' && event.button === 0 ? [event.clientX, event.clientY] : null;
  });
  view.addEventListener('pointermove', event => {
    if (!from || !event.buttons) return;
    const dx = event.clientX - from[0], dy = event.clientY - from[1];
    if (!dragged && Math.hypot(dx, dy) < 6) return;
    dragged = true;
    from = [event.clientX, event.clientY];
    view.scrollLeft -= dx;
    view.scrollTop -= dy;
  });
  view.addEventListener('dragstart', event => event.preventDefault());
  view.addEventListener('click', event => {
    if (dragged) { event.preventDefault(); event.stopPropagation(); }
    dragged = false;
  }, true);
}

const rivets = all('button[data-rivets]');
for (const button of rivets) button.addEventListener('click', () => {
  const shown = !document.body.classList.toggle('bare');
  for (const other of rivets) other.setAttribute('aria-pressed', shown);
});

// A head sorts its column up, then down, then as it was; sums stay last.
const number = text => {
  const read = text.replace(/,/g, '').match(/^(-?\d*\.?\d+)(?: (\d+)\/(\d+)|\/(\d+))?/);
  if (!read) return -Infinity;
  const whole = Number(read[1]) / (read[4] || 1), part = read[2] ? read[2] / read[3] : 0;
  return text[0] === '-' ? whole - part : whole + part;
};
for (const table of all('table.sorts')) {
  const body = table.tBodies[0], asWritten = Array.from(body.rows), heads = all('th', table.tHead);
  heads.forEach((head, column) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.append(...head.childNodes);
    head.append(button);
    head.setAttribute('aria-sort', 'none');
    button.addEventListener('click', () => {
      const way = { none: 'ascending', ascending: 'descending', descending: 'none' };
      const next = way[head.getAttribute('aria-sort')];
      for (const other of heads) other.setAttribute('aria-sort', other === head ? next : 'none');
      const said = row => row.cells[column].textContent;
      const numbers = head.classList.contains('n');
      const compare = (a, b) => numbers ? number(said(a)) - number(said(b)) || 0
        : said(a).localeCompare(said(b), 'en', { numeric: true });
      const rows = asWritten.slice();
      if (next !== 'none') rows.sort((a, b) => next === 'ascending' ? compare(a, b) : compare(b, a));
      body.append(...rows);
    });
  });
}
"""
