/* The team's page: the talk is written down as it goes, and kept in this browser until the folder has it. */
(function () {
  "use strict";
  const debrief = window.debrief;
  const address = window.location.pathname.match(/^\/event\/([^/]+)\/team$/);
  if (!address) return;
  const event = address[1];
  const meeting = new URLSearchParams(window.location.search).has("cold") ? "cold" : "hot";
  const KEPT = `debrief-talk-${event}-`;
  const CHAPTER = `debrief-chapter-${event}-${meeting}`;
  const WAIT_MS = 700, AGAIN_MS = 6000, LOOK_MS = 4000, GONE_MS = 30000;
  const find = (query) => document.querySelector(query);
  const all = (query) => Array.from(document.querySelectorAll(query));
  const asking = () => {
    const asked = new URLSearchParams(window.location.search);
    asked.set("meeting", meeting);
    return asked;
  };
  const fresh = () => Array.from(crypto.getRandomValues(new Uint8Array(8)), (one) => one.toString(16).padStart(2, "0")).join("");

  /* what is not in the folder yet: kept here across sleep, reload and restart, by the tab that holds it */
  let queue = [], tab = fresh();
  function read(name) {
    const held = JSON.parse(window.localStorage.getItem(name)) || { queue: [] };
    held.queue.forEach((one) => { delete one.sent; });
    return held;
  }
  function keep() {
    try {
      if (queue.length) window.localStorage.setItem(KEPT + tab, JSON.stringify({ at: Date.now(), queue }));
      else window.localStorage.removeItem(KEPT + tab);
    } catch (error) { /* a browser that keeps nothing still sends it */ }
  }
  try {
    tab = window.sessionStorage.getItem("debrief-tab") || tab;
    window.sessionStorage.setItem("debrief-tab", tab);
    queue = read(KEPT + tab).queue;
  } catch (error) { /* then it begins with nothing */ }
  /* what a tab left behind that is gone is sent by the next one */
  function adopt() {
    try {
      Object.keys(window.localStorage).filter((name) => name.startsWith(KEPT) && name !== KEPT + tab).forEach((name) => {
        const held = read(name);
        if (Date.now() - held.at < GONE_MS) return;
        queue.push(...held.queue.map((one) => ({ ...one, adopted: true })));
        keep();
        window.localStorage.removeItem(name);
      });
    } catch (error) { /* nothing to adopt */ }
  }
  function change(fields, elsewhere) {
    queue.push({ event: elsewhere || event, change: { key: fresh(), ...fields } });
    keep();
    send(0);
  }

  /* sending: in order, all that waits for one event at once; what cannot be kept is shown and tried again */
  let timer = null, sending = false, size = "";
  function later(after) {
    clearTimeout(timer);
    timer = setTimeout(flush, after);
  }
  function send(after) {
    later(after);
    if (!find("#team-status.bad")) say("saving");
  }
  async function flush() {
    if (sending || !queue.length) return;
    sending = true;
    const where = queue[0].event;
    const other = queue.findIndex((one) => one.event !== where);
    const batch = queue.slice(0, other < 0 ? 200 : Math.min(other, 200));
    batch.forEach((one) => { one.sent = true; });
    let again = 0;
    try {
      const reply = await fetch(`/event/${where}/talk?${asking()}`, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Debrief": "1" },
        body: JSON.stringify({ changes: batch.map((one) => one.change) }),
      });
      const answer = await reply.json();
      if (reply.ok || reply.status === 400) queue = queue.filter((one) => !batch.includes(one));
      keep();
      if (reply.ok && where !== event) size = "";
      else if (answer.parts) receive(answer);
      if (reply.ok) { if (!queue.length) say("saved"); } else { complain(answer.message); }
      if (!reply.ok && reply.status !== 400) again = AGAIN_MS;
    } catch (error) {
      complain(words().offline);
      again = AGAIN_MS;
    }
    batch.forEach((one) => { delete one.sent; });
    sending = false;
    keep();
    if (queue.length) later(again);
    else if (!size) look();
  }
  async function look() {
    adopt();
    if (queue.length) { flush(); return; }
    if (sending || queue.length || document.hidden) return;
    try {
      const reply = await fetch(`/event/${event}/talk?${asking()}&have=${size}`);
      if (reply.status === 200 && !queue.length) receive(await reply.json());
    } catch (error) { /* said when there is something to send */ }
  }
  setInterval(look, LOOK_MS);
  ["online", "focus"].forEach((kind) => window.addEventListener(kind, () => { flush(); look(); }));

  const words = () => find("#team-status").dataset;
  function say(key) {
    const line = find("#team-status");
    if (!line) return;
    line.classList.remove("bad");
    line.removeAttribute("role");
    line.replaceChildren(line.dataset[key]);
  }
  function complain(message) {
    const line = find("#team-status");
    const button = (text, does) => {
      const made = Object.assign(document.createElement("button"), { type: "button", textContent: text });
      made.addEventListener("click", does);
      return made;
    };
    if (line.textContent.startsWith(message)) return;
    line.classList.add("bad");
    line.setAttribute("role", "alert");
    line.replaceChildren(message, " ", button(words().again, () => send(0)), " ", button(words().file, asFile));
  }
  function asFile() {
    const notes = Object.fromEntries(all("[data-note]").map((one) => [one.dataset.note, one.value]));
    const text = JSON.stringify({ event, meeting, notes, changes: queue.map((one) => one.change) }, null, 1);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = `talk-${event}.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  /* what came back: parts of the page, never under the hands of somebody who writes in them */
  const painted = {}, held = {};
  const writing = (place) => place && place.contains(document.activeElement)
    && document.activeElement.matches('input:not([type="checkbox"])') && document.activeElement.value !== document.activeElement.defaultValue;
  function paint(parts) {
    Object.entries(parts).forEach(([id, html]) => {
      if (painted[id] === html) return;
      if (writing(document.getElementById(id))) { held[id] = html; return; }
      delete held[id];
      painted[id] = html;
      window.dash_clientside.page.paint({ [id]: html });
    });
  }
  document.addEventListener("focusout", () => setTimeout(() => paint({ ...held })));
  let state = { notes: {}, themes: {}, running: false, lasted_s: 0 }, since = Date.now();
  function receive(answer) {
    paint(answer.parts);
    if (!answer.state) return;
    size = answer.size;
    const waits = queue.some((one) => !one.sent && ["start", "stop", "theme"].includes(one.change.do));
    join(answer.state.notes);
    state = { ...answer.state, ...(waits ? { running: state.running, lasted_s: lasted() } : {}) };
    since = Date.now();
    if (!waits) all("[data-theme][data-section]").forEach((box) => {
      box.checked = (state.themes[box.dataset.section] || []).includes(box.dataset.theme);
    });
    tick();
  }

  /* notes */
  const waiting = (section) => queue.findLast((one) => one.event === event && !one.adopted && one.change.do === "note"
    && one.change.section === section && one.change.meeting === meeting);
  function join(notes) {
    all("[data-note]").forEach((area) => {
      const section = area.dataset.note;
      const theirs = notes[section] || "";
      const mine = waiting(section);
      if (mine && !mine.sent && mine.change.was !== theirs) {
        write(area, merged(mine.change.was, area.value, theirs));
        Object.assign(mine.change, { was: theirs, text: area.value });
        keep();
      } else if (!mine && area.value !== theirs) write(area, theirs);
    });
  }
  function write(area, text) {
    const [start, end, before] = [area.selectionStart, area.selectionEnd, area.value];
    area.value = text;
    if (document.activeElement === area && text.startsWith(before.slice(0, end))) area.setSelectionRange(start, end);
    grow(area);
  }
  function grow(area) {
    area.style.height = "auto";
    if (area.scrollHeight) area.style.height = `${Math.min(area.scrollHeight + 4, window.innerHeight * 0.5)}px`;
  }
  document.addEventListener("input", (happened) => {
    const area = happened.target;
    const section = area.dataset.note;
    if (!section) return;
    const mine = waiting(section);
    if (mine && !mine.sent) mine.change.text = area.value;
    else {
      const was = mine ? mine.change.text : state.notes[section] || "";
      queue.push({ event, change: { key: fresh(), do: "note", meeting, section, was, text: area.value } });
    }
    keep();
    grow(area);
    send(WAIT_MS + area.value.length / 10);  /* a long note goes more seldom: each time it goes whole */
  });
  /* as debrief/talk/kept.py has it: what two people wrote at once is both there afterwards */
  function merged(was, mine, theirs) {
    if (theirs === was || theirs === mine) return mine;
    if (mine === was) return theirs;
    const [start, end] = changed(was, mine), [low, high] = changed(was, theirs);
    const ours = mine.slice(start, mine.length - (was.length - end));
    const other = theirs.slice(low, theirs.length - (was.length - high));
    if (start === end && low === high && start === low) {
      const between = other.endsWith("\n") || ours.startsWith("\n") ? "" : "\n";
      return was.slice(0, start) + other + between + ours + was.slice(start);
    }
    if (end <= low) return was.slice(0, start) + ours + was.slice(end, low) + other + was.slice(high);
    if (high <= start) return was.slice(0, low) + other + was.slice(high, start) + ours + was.slice(end);
    return `${theirs}\n${mine}`;
  }
  function changed(was, now) {
    const most = Math.min(was.length, now.length);
    let start = 0, alike = 0;
    while (start < most && was[start] === now[start]) start += 1;
    while (alike < most - start && was[was.length - 1 - alike] === now[now.length - 1 - alike]) alike += 1;
    return [start, was.length - alike];
  }

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
    const form = happened.target;
    if (!form.dataset.adds) return;
    const given = Object.fromEntries(all2(form, "[data-answer]").map((one) => [one.dataset.answer, one.value.trim()]));
    const [first] = all2(form, "[data-answer]");
    if (!first.value.trim()) { first.focus(); return; }
    all2(form, "[data-answer]").forEach((one) => { one.value = one.defaultValue; });
    first.focus();
    if (form.dataset.adds === "point") change({ do: "add_point", id: `own-${fresh()}`, ...given });
    if (form.dataset.adds === "here") change({ do: "here", meeting, id: fresh(), ...given });
    if (form.dataset.adds === "action") change({ do: "action", id: fresh(), ...given });
  });
  const all2 = (place, query) => Array.from(place.querySelectorAll(query));
  document.addEventListener("click", (happened) => {
    const hit = happened.target.closest && happened.target.closest("button");
    if (!hit || hit.getAttribute("aria-disabled") === "true") return;
    const { turn, value, chapter } = hit.dataset;
    if (chapter) go(chapter, true);
    if (hit.id === "team-clock") clock();
    if (hit.classList.contains("ask")) unfold(hit);
    if (turn === "drop_point" || turn === "add_point") change({ do: turn, id: value });
    if (turn === "move_point") change({ do: turn, id: value, before: hit.dataset.before });
    if (turn === "not_here") change({ do: turn, meeting, id: value });
    if (turn === "offer") {
      awaited = fresh();
      change({ do: "action", id: awaited, what: hit.dataset.what, about: value });
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

  /* points: one unfolds its evidence and moves the timeline; those that are open stay so when they are painted anew */
  const open = new Set();
  function unfold(ask) {
    const shown = ask.getAttribute("aria-expanded") === "true";
    const item = ask.closest("[data-point]");
    const behind = document.getElementById(`behind-${item.dataset.point}`);
    if (!behind) return;
    behind.hidden = !shown;
    redraw();
    if (shown) open.add(item.dataset.point); else open.delete(item.dataset.point);
  }
  debrief.painted.push((part) => {
    if (part.id !== "team-points") return;
    open.forEach((id) => {
      const item = part.querySelector(`[data-point="${CSS.escape(id)}"]`);
      if (!item || !document.getElementById(`behind-${id}`)) return;
      item.querySelector(".ask").setAttribute("aria-expanded", "true");
      document.getElementById(`behind-${id}`).hidden = false;
    });
  });

  /* timeline and strip: drawn by the server for the width that there is; wider pages have larger words */
  const drawn = new Map();
  async function draw(place) {
    const room = place.clientWidth;
    if (!room) return;
    const asked = asking();
    const larger = (1 + room / 3800) * Math.min(Math.max(window.innerHeight / 1000, 0.88), 1.1);
    asked.set("width", String(Math.round(room / larger / 20) * 20));
    if (place.dataset.from) { asked.set("from", place.dataset.from); asked.set("to", place.dataset.to); }
    const source = `${place.dataset.drawing}?${asked}`;
    if (drawn.get(place) === source) return;
    drawn.set(place, source);
    const reply = await fetch(source);
    if (reply.ok && drawn.get(place) === source) { place.innerHTML = await reply.text(); bands(); }
  }
  const redraw = () => all("[data-drawing]").forEach(draw);
  let resizing;
  window.addEventListener("resize", () => { clearTimeout(resizing); resizing = setTimeout(redraw, 200); });
  /* where the point that somebody turns to was measured, through all lanes */
  let turned = null;
  function bands() {
    const stage = find("#team-timeline .stage");
    if (!stage) return;
    all2(stage, "i").forEach((one) => one.remove());
    if (!turned || !turned.isConnected) return;
    const { width, left, right, from, to } = Object.fromEntries(Object.entries(stage.dataset).map(([key, text]) => [key, Number(text)]));
    const place = (at) => (100 * (left + ((Math.min(Math.max(at, from), to) - from) / (to - from)) * (width - left - right))) / width;
    JSON.parse(turned.dataset.spans).forEach(([start, end]) => {
      if (end < from || start > to) return;
      const band = document.createElement("i");
      Object.assign(band.style, { left: `${place(start)}%`, width: `${place(end) - place(start)}%` });
      stage.append(band);
    });
  }
  const turn = (happened) => {
    const item = happened.target.closest && happened.target.closest("[data-spans]");
    if (item === turned) return;
    turned = item;
    bands();
  };
  ["mouseover", "focusin"].forEach((kind) => document.addEventListener(kind, turn));

  /* chapters, and the clock, which only tells */
  function go(name, focused) {
    all(".chapter").forEach((one) => { one.hidden = one.id !== `chapter-${name}`; });
    all(".talk-spine [data-chapter]").forEach((one) => {
      if (one.dataset.chapter === name) one.setAttribute("aria-current", "step");
      else one.removeAttribute("aria-current");
    });
    try { window.sessionStorage.setItem(CHAPTER, name); } catch (error) { /* then the first one is shown */ }
    all(`#chapter-${name} [data-note]`).forEach(grow);
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
  const lasted = () => state.lasted_s + (state.running ? (Date.now() - since) / 1000 : 0);
  function clock() {
    const running = !state.running;
    state = { ...state, lasted_s: lasted(), running };
    since = Date.now();
    change({ do: running ? "start" : "stop", meeting, when: new Date().toISOString() });
    tick();
  }
  function tick() {
    const button = find("#team-clock");
    if (!button) return;
    const seconds = Math.floor(lasted());
    const { start, pause, goOn } = button.dataset;
    const text = state.running ? pause : seconds ? goOn : start;
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

  /* the page is there: what waits in this browser goes into its fields, then what stands in the folder is asked for */
  debrief.painted.push((part) => {
    if (part.id !== "team-spine") return;
    debrief.show = () => {};  /* here the timeline stays whole; a point has its own stretch of it */
    all("[data-note]").forEach((area) => {
      const mine = waiting(area.dataset.note);
      if (mine) area.value = mine.change.text;
    });
    let chapter = "facts";
    try { chapter = window.sessionStorage.getItem(CHAPTER) || chapter; } catch (error) { /* the first one */ }
    go(find(`#chapter-${CSS.escape(chapter)}`) ? chapter : "facts", false);
    redraw();
    size = "";
    if (queue.length) flush(); else look();
  });
  debrief.painted.push((part) => { if (part.querySelector("[data-drawing]")) redraw(); });
})();
