// Small words for building the page. Text always goes in as text.

/** element('p', {class: 'note', onclick: f}, 'words', child, ...) */
export function element(name, attributes = {}, ...children) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith('on')) node.addEventListener(key.slice(2), value);
    else node.setAttribute(key, value === true ? '' : value);
  }
  node.append(...children.filter((c) => c !== null && c !== undefined));
  return node;
}

/** A number as people read it: three digits that count; never 1e-7 for nothing. */
export function figure(value, digits = 3) {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1e6 || size < 1e-3) return value.toExponential(1).replace('e+', 'e');
  return String(Number(value.toPrecision(Math.max(digits, Math.ceil(Math.log10(size))))));
}

const kind = (column) => (column.long ? 'text long' : column.text ? 'text' : 'number');

/** Rows as a table with a caption; columns: [{name, title, text, long, show(row)}], numbers to the right, `long` for sentences. */
export function dataTable(caption, columns, rows) {
  const head = element('tr', {}, ...columns.map((c) => element('th', { scope: 'col', class: kind(c) }, c.title)));
  const body = rows.map((row) =>
    element('tr', {}, ...columns.map((c, i) => {
      const shown = c.show ? c.show(row) : row[c.name];
      const content = shown instanceof Node ? shown : typeof shown === 'number' ? figure(shown) : shown ?? '–';
      return i === 0
        ? element('th', { scope: 'row', class: kind(c) }, content)
        : element('td', { class: kind(c) }, content);
    })));
  return element('div', { class: 'scroll', tabindex: '0', role: 'region', 'aria-label': caption },
    element('table', {}, element('caption', {}, caption), element('thead', {}, head), element('tbody', {}, ...body)));
}

/** A labelled choice; calls back with the word chosen. */
export function choice(label, options, chosen, changed) {
  const select = element('select', { onchange: () => changed(select.value) },
    ...options.map(([value, words]) => element('option', { value, selected: value === chosen }, words)));
  return element('label', { class: 'control' }, element('span', {}, label), select);
}

/** A labelled slider over a list of values; its words stand beside it and are read out. */
export function slider(label, values, start, words, changed) {
  const out = element('output', {}, words(values[start]));
  const input = element('input', { type: 'range', min: 0, max: values.length - 1, step: 1, value: start, 'aria-valuetext': words(values[start]) });
  input.addEventListener('input', () => {
    const value = values[Number(input.value)];
    out.textContent = words(value);
    input.setAttribute('aria-valuetext', words(value));
    changed(value);
  });
  return element('label', { class: 'control wide' }, element('span', {}, label), input, out);
}

/** 'caudal_cruciate' -> 'caudal cruciate' */
export const spaced = (word) => String(word).replaceAll('_', ' ');
