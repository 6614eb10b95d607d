// The results files inside the page: gzip in base64, opened when first asked for. Numbers stay those of the files.
const cells = /("(?:[^"]|"")*"|[^,\r\n]*)(,|\r?\n|$)/gy;

/** Rows of a CSV table (RFC 4180, a line with # before it left out): an array of objects by column; numbers as numbers, true and false as such, empty cells null. */
function parseTable(content) {
  const text = content.replace(/^#.*\r?\n/, '');
  const rows = [];
  let row = [];
  cells.lastIndex = 0;
  while (cells.lastIndex < text.length) {
    const [, cell, end] = cells.exec(text);
    row.push(cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell);
    if (end !== ',') {
      rows.push(row);
      row = [];
    }
  }
  if (row.length > 0) rows.push(row);
  const columns = rows.shift() ?? [];
  return rows.filter((r) => r.length === columns.length).map((r) => Object.fromEntries(columns.map((name, i) => [name, value(r[i])])));
}

function value(cell) {
  if (cell === '') return null;
  if (cell === 'true' || cell === 'false') return cell === 'true';
  return /^[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$/.test(cell) ? Number(cell) : cell;
}

async function open(base64) {
  const packed = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

export class Results {
  #blocks = new Map();
  #opened = new Map();

  constructor(root) {
    for (const block of root.querySelectorAll('script[data-name]')) this.#blocks.set(block.dataset.name, block);
  }
  names() {
    return [...this.#blocks.keys()];
  }
  has(name) {
    return this.#blocks.has(name);
  }
  #once(key, make) {
    if (!this.#opened.has(key)) this.#opened.set(key, make());
    return this.#opened.get(key);
  }
  bytes(name) {
    if (!this.has(name)) return Promise.reject(new Error(`${name} is not among the results`));
    return this.#once(name, () => open(this.#blocks.get(name).textContent));
  }
  async text(name) {
    return new TextDecoder().decode(await this.bytes(name));
  }
  json(name) {
    return this.#once(`json ${name}`, async () => JSON.parse(await this.text(name)));
  }
  /** Empty when the run left no such table. */
  table(name) {
    return this.#once(`table ${name}`, async () => (this.has(name) ? parseTable(await this.text(name)) : []));
  }
  async picture(name) {
    return URL.createObjectURL(new Blob([await this.bytes(name)], { type: name.endsWith('.jpg') ? 'image/jpeg' : 'image/png' }));
  }
}
