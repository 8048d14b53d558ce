// Tables that sort by a column, and one choice of a wedge for all that the page shows: rows, the sheet, names
// on drawings, the view in space. Whatever is chosen is told as an event "choose" of the document.
(() => {
  'use strict';
  const number = (text) => {
    const first = text.trim().split(', ')[0];
    if (first === '') return null;
    if (first === 'inf') return Infinity;
    const value = Number(first.replace(/[^0-9.eE+-]/g, ''));
    return Number.isNaN(value) ? null : value;
  };

  // Empty cells come last whichever way it goes, and rows that are alike keep their order.
  const sort = (table, column, down) => {
    const body = table.tBodies[0];
    const heads = [...table.tHead.rows[0].cells];
    const numeric = heads[column].classList.contains('n');
    const key = (row) => {
      const text = row.cells[column].textContent;
      return numeric ? number(text) : text.trim() === '' ? null : text.trim();
    };
    const way = down ? -1 : 1;
    const rows = [...body.rows].map((row, at) => ({ row, at, key: key(row) }));
    rows.sort((a, b) => {
      if (a.key === null || b.key === null) return (a.key === null) - (b.key === null) || a.at - b.at;
      const by = numeric ? (a.key < b.key ? -1 : a.key > b.key ? 1 : 0) : a.key.localeCompare(b.key, 'en', { numeric: true });
      return way * by || a.at - b.at;
    });
    body.append(...rows.map((r) => r.row));
    heads.forEach((th, i) => {
      if (i === column) th.setAttribute('aria-sort', down ? 'descending' : 'ascending');
      else th.removeAttribute('aria-sort');
    });
  };

  for (const table of document.querySelectorAll('.wide>table')) {
    if (!table.tHead || !table.tBodies[0] || table.tBodies[0].rows.length < 2 || table.closest('.sheet')) continue;
    const heads = [...table.tHead.rows[0].cells];
    const names = document.createElement('select');
    names.append(new Option('as it comes', ''));
    heads.forEach((th, column) => {
      const button = document.createElement('button');
      button.type = 'button';
      button.className = 'sort';
      button.append(...th.childNodes);
      button.addEventListener('click', () => sort(table, column, th.getAttribute('aria-sort') === 'ascending'));
      th.append(button);
      names.append(new Option(button.textContent, column));
    });
    const label = document.createElement('label');
    label.className = 'by';
    label.append('sorted by ', names);
    names.addEventListener('change', () => {
      if (names.value !== '') sort(table, Number(names.value), false);
    });
    table.before(label);
  }

  // Every place that names a wedge: rows by their first cell, words on drawings, folded sheets.
  const rows = new Map();
  for (const row of document.querySelectorAll('.wide>table>tbody>tr')) {
    if (row.closest('.sheet') || row.cells[0]?.dataset.h !== 'wedge') continue;
    const id = row.cells[0].textContent.trim();
    rows.set(id, [...(rows.get(id) || []), row]);
  }
  const words = new Map();
  for (const text of document.querySelectorAll('figure>svg text')) {
    const id = text.textContent.trim().split(':')[0];
    if (rows.has(id)) words.set(id, [...(words.get(id) || []), text]);
  }
  const choose = (id) => document.dispatchEvent(new CustomEvent('choose', { detail: id }));
  for (const [id, those] of rows) {
    for (const row of those) {
      const button = document.createElement('button');
      button.type = 'button';
      button.className = 'pick';
      button.setAttribute('aria-pressed', 'false');
      button.append(...row.cells[0].childNodes);
      row.cells[0].append(button);
      row.closest('table').classList.add('picks');
      row.addEventListener('click', () => choose(id));
    }
  }
  for (const [id, those] of words) for (const text of those) text.addEventListener('click', () => choose(id));
  document.addEventListener('choose', ({ detail }) => {
    for (const [id, those] of rows) {
      for (const row of those) {
        row.classList.toggle('chosen', id === detail);
        row.cells[0].querySelector('.pick').setAttribute('aria-pressed', String(id === detail));
      }
    }
    for (const [id, those] of words) for (const text of those) text.classList.toggle('chosen', id === detail);
    for (const sheet of document.querySelectorAll('details>summary')) {
      sheet.classList.toggle('chosen', sheet.textContent.trim() === detail);
    }
  });
  document.documentElement.classList.add('js');
})();
