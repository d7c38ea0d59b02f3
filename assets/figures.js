/* Sums and orders that need no server: what if no pause were long; a table sorted by a column or filtered. */
(function () {
  "use strict";
  const SPACE = "\u202f";

  /* what if: every pause cut to a length. Arithmetic on the pauses that were seen */
  function whatIf(control) {
    const box = control.closest(".what-if");
    const cap = Number(control.value);
    const pauses = JSON.parse(box.dataset.pauses);
    const sum = (lengths, most) => lengths.reduce((whole, length) => whole + Math.min(length, most), 0);
    const all = pauses.reduce((whole, lengths) => whole + sum(lengths, Infinity), 0);
    const capped = pauses.map((lengths) => sum(lengths, cap));
    const lost = capped.reduce((whole, seconds) => whole + seconds, 0);
    const limit = `${cap}${SPACE}s`;
    const value = `${(100 * (1 - lost / Number(box.dataset.asked))).toFixed(0)}${SPACE}%`;
    const fill = (template) => template.replace("{limit}", limit).replace("{value}", value);
    box.querySelectorAll(".capped i").forEach((piece, number) => {
      piece.style.width = `${(100 * capped[number]) / all}%`;
    });
    box.querySelector("output").textContent = limit;
    box.querySelector(".said").textContent = fill(box.dataset.said);
    control.setAttribute("aria-valuetext", fill(box.dataset.value));
  }
  document.addEventListener("input", (event) => {
    if (event.target.id === "what-if") whatIf(event.target);
    if (event.target.id === "filter-events") filter(event.target);
  });

  /* a table: what is not known stands last in every order */
  let order = null;
  function sort(table) {
    if (!order) return;
    const { column, down } = order;
    const body = table.tBodies[0];
    const key = (row) => row.cells[column].dataset.key;
    const compare = (one, other) => {
      if (key(one) === "" || key(other) === "") return (key(one) === "") - (key(other) === "");
      const [a, b] = [Number(key(one)), Number(key(other))];
      const found = Number.isNaN(a) || Number.isNaN(b) ? key(one).localeCompare(key(other)) : a - b;
      return down ? -found : found;
    };
    body.append(...Array.from(body.rows).sort(compare));
    table.querySelectorAll("thead th").forEach((head, number) => {
      if (number === column) head.setAttribute("aria-sort", down ? "descending" : "ascending");
      else head.removeAttribute("aria-sort");
    });
  }
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("th button[data-turn]");
    if (!hit) return;
    const column = hit.closest("th").cellIndex;
    order = { column, down: order !== null && order.column === column && !order.down };
    sort(hit.closest("table"));
  });
  function filter(control) {
    const wanted = control.value.toLocaleLowerCase().split(/\s+/).filter(Boolean);
    const rows = Array.from(document.querySelectorAll("#events tbody tr"));
    rows.forEach((row) => {
      const text = row.textContent.toLocaleLowerCase();
      row.hidden = !wanted.every((word) => text.includes(word));
    });
    const shown = rows.filter((row) => !row.hidden).length;
    document.getElementById("events-shown").textContent = control.dataset.said
      .replace("{shown}", shown).replace("{count}", rows.length);
  }
  window.debrief.painted.push((part) => {
    if (part.id !== "events") return;
    const table = part.querySelector("table");
    if (table) sort(table);
    const control = document.getElementById("filter-events");
    if (control) filter(control);
    if (part.querySelector("[data-waiting]")) window.debrief.set("measured-events", { data: Date.now() });
  });
})();
