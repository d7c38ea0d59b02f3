/* The grid of a typed sheet: its rows, keys, undo, words to complete. What is sent and shown is in typing_sheet.js. */
(function () {
  "use strict";
  const COLUMNS = ["time", "mark", "detail", "amount", "unit", "route", "note"];
  const LEAST_SHOWN = 10;
  const MOST_CHOICES = 7;
  const grid = { rows: [], told: {}, words: {}, at: [0, 0], changed: () => {}, usual: () => {}, turned: () => {} };
  window.debrief.grid = grid;
  const body = () => document.getElementById("typed-rows");
  const blank = () => COLUMNS.map(() => "");
  const isFilled = (row) => row.some((text) => text.trim());
  const cells = (row) => body().rows[row].querySelectorAll("input");
  const fold = (text) => (text.toLowerCase().match(/[\p{L}\p{N}]+/gu) || []).join(" ");
  grid.columns = COLUMNS;
  grid.say = (key, blanks = {}) => Object.entries(blanks)
    .reduce((text, [name, value]) => text.replace(`{${name}}`, value), body().dataset[key] || "");

  /* rows up to the last that holds anything */
  grid.filled = () => grid.rows.slice(0, grid.rows.findLastIndex(isFilled) + 1);

  /* rows as inputs: always some empty ones below, to go on in */
  function made(number) {
    const row = document.createElement("tr");
    const head = document.createElement("th");
    Object.assign(head, { scope: "row", textContent: String(number + 1) });
    row.append(head);
    COLUMNS.forEach((name, column) => {
      const input = document.createElement("input");
      Object.assign(input, { type: "text", value: grid.rows[number][column], autocomplete: "off", spellcheck: false, dir: "auto" });
      input.setAttribute("aria-label", grid.say("row", { row: number + 1, what: headings[column] }));
      if (choosable(column)) {
        Object.entries({ role: "combobox", "aria-expanded": "false", "aria-controls": "typed-choices", "aria-autocomplete": "list" })
          .forEach(([key, value]) => input.setAttribute(key, value));
      }
      const cell = document.createElement("td");
      cell.className = name;
      cell.append(input);
      row.append(cell);
    });
    const said = document.createElement("td");
    said.className = "understood";
    row.append(said);
    return row;
  }
  let headings = [];
  grid.render = () => {
    headings = Array.from(body().closest("table").querySelectorAll("thead th"), (one) => one.textContent).slice(1);
    const count = Math.max(LEAST_SHOWN, grid.filled().length + 1);
    grid.rows.length = Math.min(grid.rows.length, count);
    while (grid.rows.length < count) grid.rows.push(blank());
    const standing = body().rows;
    while (standing.length > count) standing[standing.length - 1].remove();
    grid.rows.forEach((row, number) => {
      if (number >= standing.length) body().append(made(number));
      else cells(number).forEach((input, column) => { if (input.value !== row[column]) input.value = row[column]; });
    });
    grid.show();
  };
  grid.show = () => Array.from(body().rows).forEach((row, number) => {
    const { said = "", odd = "" } = grid.told[number] || {};
    const place = row.lastElementChild;
    const text = [said, odd && `▲ ${odd}`].filter(Boolean).join("  ");
    if (place.textContent !== text) { place.textContent = text; place.title = text; }
    place.classList.toggle("odd", Boolean(odd));
  });
  grid.go = (row, column) => {
    if (row < 0) return;
    while (grid.rows.length <= row) {
      grid.rows.push(blank());
      body().append(made(grid.rows.length - 1));
    }
    const input = cells(row)[column];
    input.focus();
    input.select();
    input.scrollIntoView({ block: "nearest" });
  };

  /* undo: the rows as they were before each step; letters typed into one cell are one step */
  const past = [], future = [];
  let typedInto = null;
  const state = () => JSON.stringify(grid.rows);
  function step(change, row, column) {
    past.push(state());
    future.length = 0;
    typedInto = null;
    change();
    redrawn(row, column);
  }
  function redrawn(row, column) {
    close();
    grid.told = {};
    grid.render();
    grid.go(row, column);
    grid.changed();
  }
  function turn(from, to) {
    if (!from.length) return;
    const before = grid.rows;
    to.push(state());
    grid.rows = JSON.parse(from.pop());
    typedInto = null;
    const row = grid.rows.findIndex((one, at) => String(one) !== String(before[at] || blank()));
    redrawn(row < 0 ? Math.min(grid.at[0], grid.rows.length - 1) : row, grid.at[1]);
  }
  grid.fill = (row, values) => {
    past.push(state());
    future.length = 0;
    typedInto = null;
    Object.entries(values).forEach(([name, value]) => {
      const column = COLUMNS.indexOf(name);
      grid.rows[row][column] = value;
      cells(row)[column].value = value;
    });
    grid.changed();
  };
  const swap = (row, other) => { [grid.rows[row], grid.rows[other]] = [grid.rows[other], grid.rows[row]]; };
  const doings = {
    insert: ([row]) => step(() => grid.rows.splice(row, 0, blank()), row, 0),
    delete: ([row, column]) => step(() => grid.rows.splice(row, 1), row, column),
    up: ([row, column]) => row > 0 && step(() => swap(row, row - 1), row - 1, column),
    down: ([row, column]) => row + 1 < grid.rows.length && step(() => swap(row, row + 1), row + 1, column),
    above: ([row, column]) => row > 0 && grid.fill(row, { [COLUMNS[column]]: grid.rows[row - 1][column] }),
    usual: ([row]) => grid.usual(row),
    undo: () => turn(past, future),
    redo: () => turn(future, past),
  };

  /* words that fit what is typed: by their beginning, in the words that the program reads */
  const list = () => document.getElementById("typed-choices");
  const choosable = (column) => [1, 2, 4, 5].includes(column);
  let shown = [], chosen = -1, owner = null;
  function wordsFor(row, column) {
    const name = COLUMNS[column];
    if (name !== "detail") return grid.words[name] || [];
    const mark = fold(grid.rows[row][1]);
    const known = (grid.words.mark || []).find((one) => fold(one.take) === mark || one.also.includes(mark));
    const family = (grid.told[row] || {}).family || (known && known.family) || "";
    return grid.words.detail[family] || (mark ? [] : grid.words.detail.drug);
  }
  function fitting(row, column) {
    const text = fold(grid.rows[row][column]);
    if (!text) return [];
    const all = wordsFor(row, column);
    const named = (one) => [fold(one.take), ...one.also];
    if (all.some((one) => named(one).includes(text))) return [];
    const begins = (words) => words.find((word) => word.startsWith(text)) || words.find((word) => word.includes(` ${text}`));
    return all.filter((one) => begins(named(one)))
      .sort((a, b) => Number(fold(b.take).startsWith(text)) - Number(fold(a.take).startsWith(text)))
      .slice(0, MOST_CHOICES)
      .map((one) => ({ take: one.take, by: fold(one.take).startsWith(text) ? (fold(one.told || "") === fold(one.take) ? "" : one.told) : begins(one.also) }));
  }
  function offer(input, row, column) {
    close();
    shown = choosable(column) ? fitting(row, column) : [];
    if (!shown.length) return;
    owner = input;
    list().replaceChildren(...shown.map(({ take, by }, number) => {
      const item = document.createElement("li");
      Object.assign(item, { id: `typed-choice-${number}`, role: "option", textContent: take });
      item.setAttribute("aria-selected", "false");
      if (by) {
        const small = document.createElement("small");
        small.textContent = by;
        item.append(" ", small);
      }
      return item;
    }));
    const place = input.getBoundingClientRect();
    Object.assign(list().style, { left: `${place.left + window.scrollX}px`, top: `${place.bottom + window.scrollY}px`, minWidth: `${place.width}px` });
    list().hidden = false;
    input.setAttribute("aria-expanded", "true");
  }
  function close() {
    if (owner) { owner.setAttribute("aria-expanded", "false"); owner.removeAttribute("aria-activedescendant"); }
    [owner, shown, chosen] = [null, [], -1];
    if (list()) list().hidden = true;
  }
  function choose(by) {
    chosen = (chosen + by + shown.length + 1) % (shown.length + 1);
    if (by < 0 && chosen === shown.length) chosen = shown.length - 1;
    if (chosen === shown.length) chosen = 0;
    Array.from(list().children).forEach((one, number) => one.setAttribute("aria-selected", String(number === chosen)));
    owner.setAttribute("aria-activedescendant", `typed-choice-${chosen}`);
  }
  function take() {
    const [row, column] = grid.at;
    const word = shown[chosen].take;
    close();
    grid.fill(row, { [COLUMNS[column]]: word });
  }

  /* where a cell stands; null for what is no cell of the grid */
  function placeOf(target) {
    const row = target.closest && target.closest("#typed-rows tr");
    return row && target.tagName === "INPUT" ? [row.sectionRowIndex, target.parentElement.cellIndex - 1] : null;
  }
  document.addEventListener("focusin", (event) => {
    const at = placeOf(event.target);
    if (!at) return;
    if (event.target !== owner) close();
    typedInto = null;
    grid.at = at;
    grid.turned(at[0]);
  });
  document.addEventListener("focusout", (event) => { if (event.target === owner) close(); });
  document.addEventListener("input", (event) => {
    const at = placeOf(event.target);
    if (!at) return;
    const key = String(at);
    if (typedInto !== key) { past.push(state()); future.length = 0; typedInto = key; }
    grid.rows[at[0]][at[1]] = event.target.value;
    if (at[0] === grid.rows.length - 1) { grid.rows.push(blank()); body().append(made(grid.rows.length - 1)); }
    offer(event.target, ...at);
    grid.changed();
  });

  /* keys */
  document.addEventListener("keydown", (event) => {
    const at = placeOf(event.target);
    if (!at || event.isComposing) return;
    const does = meant(event, at);
    if (!does) return;
    event.preventDefault();
    does();
  });
  function meant(event, at) {
    const [row, column] = at;
    const { key } = event;
    const control = event.ctrlKey || event.metaKey;
    if (!control && !event.altKey && shown.length) {
      if (key === "ArrowDown") return () => choose(1);
      if (key === "ArrowUp") return () => choose(-1);
      if (key === "Escape") return close;
      if (key === "Enter" && chosen >= 0) return take;
      if (key === "Tab" && chosen >= 0) { take(); return null; }
    }
    if (control && !event.altKey) {
      const letter = key.toLowerCase();
      if (key === "Enter") return () => doings.insert(at);
      if (key === "Delete" || (key === "Backspace" && event.shiftKey)) return () => doings.delete(at);
      if (letter === "d") return () => doings.above(at);
      if (letter === "z") return () => (event.shiftKey ? doings.redo() : doings.undo());
      if (letter === "y") return () => doings.redo();
      return null;
    }
    if (event.altKey) {
      if (key === "ArrowUp") return () => doings.up(at);
      if (key === "ArrowDown") return () => doings.down(at);
      return null;
    }
    if (key === "Enter") return () => grid.go(row + 1, 0);
    if (key === "ArrowDown") return () => grid.go(row + 1, column);
    if (key === "ArrowUp") return () => grid.go(row - 1, column);
    if (key === "F2") return () => doings.usual(at);
    if (key === "Escape") return () => document.getElementById("typed-done").focus();
    return null;
  }
  document.addEventListener("mousedown", (event) => {
    const item = event.target.closest && event.target.closest("#typed-choices li");
    if (!item) return;
    event.preventDefault();
    chosen = Array.from(list().children).indexOf(item);
    take();
  });
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("[data-grid], [data-row]");
    if (!hit || !body()) return;
    if (hit.dataset.row) grid.go(Number(hit.dataset.row), 0);
    else if (doings[hit.dataset.grid]) {
      doings[hit.dataset.grid](grid.at);
      grid.go(...grid.at);
    }
  });

  /* a block from a spreadsheet is spread over cells */
  function spread(text) {
    const rows = [[""]];
    let quoted = false;
    for (let at = 0; at < text.length; at += 1) {
      const letter = text[at], row = rows[rows.length - 1];
      if (letter === '"' && quoted && text[at + 1] === '"') { row[row.length - 1] += '"'; at += 1; }
      else if (letter === '"' && (quoted || row[row.length - 1] === "")) quoted = !quoted;
      else if (letter === "\t" && !quoted) row.push("");
      else if (letter === "\n" && !quoted) rows.push([""]);
      else if (letter !== "\r") row[row.length - 1] += letter === "\n" ? " " : letter;
    }
    if (rows.length > 1 && rows[rows.length - 1].length === 1 && !rows[rows.length - 1][0]) rows.pop();
    return rows;
  }
  document.addEventListener("paste", (event) => {
    const at = placeOf(event.target);
    const text = event.clipboardData && event.clipboardData.getData("text/plain");
    if (!at || !text || !/[\t\n]/.test(text.trim())) return;
    event.preventDefault();
    const most = Number(body().dataset.most);
    const given = spread(text);
    const taken = given.slice(0, most - at[0]);
    step(() => taken.forEach((pasted, down) => {
      while (grid.rows.length <= at[0] + down) grid.rows.push(blank());
      pasted.slice(0, COLUMNS.length - at[1]).forEach((value, right) => { grid.rows[at[0] + down][at[1] + right] = value.trim(); });
    }), at[0], at[1]);
    grid.note(grid.say("pasted", { rows: taken.length }) + (taken.length < given.length ? ` ${grid.say("pasteCut", { most })}` : ""));
  });
})();
