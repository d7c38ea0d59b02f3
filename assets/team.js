/* The team's page: points, drawings, chapters, the clock. What is written goes by way of talk.js. */
(function () {
  "use strict";
  const debrief = window.debrief;
  if (!debrief.talk) return;
  const { event, meeting, asking, change, fresh, find, all } = debrief.talk;
  const CHAPTER = `debrief-chapter-${event}-${meeting}`;

  /* ticks, fields, lines that are added, buttons */
  document.addEventListener("change", (happened) => {
    const { theme, section, field, value } = happened.target.dataset;
    if (happened.target.id === "with-sources") {
      find("#hand-over").search = happened.target.checked ? "?sources=yes" : "";
    }
    if (theme) change({ do: "theme", meeting, section, theme, on: happened.target.checked ? "yes" : "no" });
    if (field) {
      happened.target.defaultValue = happened.target.value;
      const row = happened.target.closest("[data-action]");
      change({ do: "action", id: value, [field]: happened.target.value }, row.dataset.event);
    }
  });
  document.addEventListener("submit", (happened) => {
    const { adds } = happened.target.dataset;
    if (!adds) return;
    const fields = all("[data-answer]", happened.target);
    const given = Object.fromEntries(fields.map((one) => [one.dataset.answer, one.value.trim()]));
    const [first] = fields;
    if (!first.value.trim()) { first.focus(); return; }
    fields.forEach((one) => { one.value = one.defaultValue; });
    first.focus();
    if (adds === "point") change({ do: "add_point", id: `own-${fresh()}`, ...given });
    if (adds === "here") change({ do: "here", meeting, id: fresh(), ...given });
    if (adds === "action") change({ do: "action", id: fresh(), ...given });
  });
  document.addEventListener("click", (happened) => {
    const hit = happened.target.closest && happened.target.closest("button");
    if (!hit || hit.getAttribute("aria-disabled") === "true") return;
    const { turn, value, chapter, before, what } = hit.dataset;
    if (chapter) go(chapter, true);
    if (hit.id === "team-clock") clock();
    if (hit.classList.contains("ask")) unfold(hit);
    if (turn === "drop_point" || turn === "add_point") change({ do: turn, id: value });
    if (turn === "move_point") change({ do: turn, id: value, before });
    if (turn === "not_here") change({ do: turn, meeting, id: value });
    if (turn === "offer") {
      awaited = fresh();
      change({ do: "action", id: awaited, what, about: value });
    }
  });

  /* an action that was offered: who took it goes on writing in it */
  let awaited = null;
  debrief.painted.push(() => {
    const field = awaited && find(`[data-field="what"][data-value="${awaited}"]`);
    if (!field) return;
    awaited = null;
    field.focus();
    field.setSelectionRange(field.value.length, field.value.length);
  });

  /* points: one unfolds its evidence; those that are open stay so when they are painted anew */
  const open = new Set();
  function unfold(ask) {
    const shown = ask.getAttribute("aria-expanded") === "true";
    const { point } = ask.closest("[data-point]").dataset;
    const behind = document.getElementById(`behind-${point}`);
    if (!behind) return;
    behind.hidden = !shown;
    if (shown) open.add(point); else open.delete(point);
    redraw();
  }
  debrief.painted.push((part) => {
    if (part.id !== "team-points") return;
    open.forEach((point) => {
      const item = part.querySelector(`[data-point="${CSS.escape(point)}"]`);
      const behind = document.getElementById(`behind-${point}`);
      if (!item || !behind) return;
      item.querySelector(".ask").setAttribute("aria-expanded", "true");
      behind.hidden = false;
    });
  });

  /* timeline and strip: drawn by the server for the width that there is; wider pages have larger words */
  const drawn = new Map();
  async function draw(place) {
    const room = place.clientWidth;
    if (!room) return;
    const larger = (1 + room / 3800) * Math.min(Math.max(window.innerHeight / 1000, 0.88), 1.1);
    const asked = asking();
    asked.set("width", String(Math.round(room / larger / 20) * 20));
    const { drawing, from, to } = place.dataset;
    if (from) { asked.set("from", from); asked.set("to", to); }
    const source = `${drawing}?${asked}`;
    if (drawn.get(place) === source) return;
    drawn.set(place, source);
    const reply = await fetch(source);
    if (reply.ok && drawn.get(place) === source) { place.innerHTML = await reply.text(); bands(); }
  }
  const redraw = () => all("[data-drawing]").forEach(draw);
  let resizing;
  window.addEventListener("resize", () => { clearTimeout(resizing); resizing = setTimeout(redraw, 200); });
  debrief.painted.push((part) => { if (part.querySelector("[data-drawing]")) redraw(); });

  /* where the point that somebody turns to was measured, through all lanes */
  let turned = null;
  function bands() {
    const stage = find("#team-timeline .stage");
    if (!stage) return;
    all("i", stage).forEach((one) => one.remove());
    if (!turned || !turned.isConnected) return;
    const [width, left, right, from, to] = ["width", "left", "right", "from", "to"].map((key) => Number(stage.dataset[key]));
    const place = (at) => (100 * (left + ((Math.min(Math.max(at, from), to) - from) / (to - from)) * (width - left - right))) / width;
    JSON.parse(turned.dataset.spans).forEach(([start, end]) => {
      if (end < from || start > to) return;
      const band = document.createElement("i");
      Object.assign(band.style, { left: `${place(start)}%`, width: `${place(end) - place(start)}%` });
      stage.append(band);
    });
  }
  ["mouseover", "focusin"].forEach((kind) => document.addEventListener(kind, (happened) => {
    const item = happened.target.closest && happened.target.closest("[data-spans]");
    if (item === turned) return;
    turned = item;
    bands();
  }));

  /* chapters, one at a time */
  function go(name, focused) {
    all(".chapter").forEach((one) => { one.hidden = one.id !== `chapter-${name}`; });
    all(".talk-spine [data-chapter]").forEach((one) => {
      if (one.dataset.chapter === name) one.setAttribute("aria-current", "step");
      else one.removeAttribute("aria-current");
    });
    try { window.sessionStorage.setItem(CHAPTER, name); } catch (error) { /* then the first one is shown */ }
    all(`#chapter-${name} [data-note]`).forEach(debrief.talk.grow);
    if (!focused) return;
    const heading = find(`#chapter-${name} h2`);
    heading.focus({ preventScroll: true });
    heading.scrollIntoView({ block: "nearest" });
  }
  function step(by) {
    const names = all(".talk-spine [data-chapter]");
    const at = names.findIndex((one) => one.hasAttribute("aria-current")) + by;
    if (names[at]) go(names[at].dataset.chapter, true);
  }

  /* the clock, which only tells */
  let running = false, lasted_s = 0, since = Date.now();
  const lasted = () => lasted_s + (running ? (Date.now() - since) / 1000 : 0);
  function set(state) {
    ({ running, lasted_s } = state);
    since = Date.now();
    tick();
  }
  debrief.talk.arrived.push(set);
  function clock() {
    set({ running: !running, lasted_s: lasted() });
    change({ do: running ? "start" : "stop", meeting, when: new Date().toISOString() });
  }
  function tick() {
    const button = find("#team-clock");
    if (!button) return;
    const seconds = Math.floor(lasted());
    const { start, pause, goOn } = button.dataset;
    const text = running ? pause : seconds ? goOn : start;
    if (button.textContent !== text) button.textContent = text;
    find("#team-time").textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
    find("#team-elapsed").style.width = `${Math.min(100, (100 * seconds) / Number(find(".talk-spine").dataset.whole))}%`;
  }
  setInterval(tick, 1000);

  /* single keys: the same switch as on the timeline's page */
  const listening = () => window.localStorage.getItem("debrief-single-keys") !== "off";
  document.addEventListener("keydown", (happened) => {
    const item = happened.target.closest("[data-point]");
    if (happened.altKey && item && ["ArrowUp", "ArrowDown"].includes(happened.key)) {
      item.querySelector(`[data-answer="${happened.key === "ArrowUp" ? "up" : "down"}"]`).click();
      happened.preventDefault();
      return;
    }
    if (happened.ctrlKey || happened.metaKey || happened.altKey || happened.isComposing || happened.defaultPrevented) return;
    if (!listening() || find("dialog[open]") || happened.target.closest("input, select, textarea")) return;
    const ask = all(".ask")[Number(happened.key) - 1];
    if (ask) { ask.focus(); ask.click(); }
    else if (happened.key === "n") step(1);
    else if (happened.key === "b") step(-1);
    else if (happened.key === "s") clock();
    else if (happened.key === "?") document.getElementById("keys").showModal();
    else return;
    happened.preventDefault();
  });

  /* the page is there */
  debrief.painted.push((part) => {
    if (part.id !== "team-spine") return;
    debrief.show = () => {};  /* here the timeline stays whole; a point has its own stretch of it */
    let chapter = "facts";
    try { chapter = window.sessionStorage.getItem(CHAPTER) || chapter; } catch (error) { /* the first one */ }
    go(find(`#chapter-${CSS.escape(chapter)}`) ? chapter : "facts", false);
    redraw();
    debrief.talk.begin();
  });
})();
