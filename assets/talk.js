/* What a team writes down of its talk: sent as it goes, and kept in this browser until the folder has it. */
(function () {
  "use strict";
  const debrief = window.debrief;
  const address = window.location.pathname.match(/^\/event\/([^/]+)\/team$/);
  if (!address) return;
  const event = address[1];
  const meeting = new URLSearchParams(window.location.search).has("cold") ? "cold" : "hot";
  const KEPT = `debrief-talk-${event}-`;
  const WAIT_MS = 700, AGAIN_MS = 6000, LOOK_MS = 4000, GONE_MS = 30000;
  const find = (query) => document.querySelector(query);
  const all = (query, place = document) => Array.from(place.querySelectorAll(query));
  const fresh = () => Array.from(crypto.getRandomValues(new Uint8Array(8)), (one) => one.toString(16).padStart(2, "0")).join("");
  const asking = () => {
    const asked = new URLSearchParams(window.location.search);
    asked.set("meeting", meeting);
    return asked;
  };

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
      if (reply.ok && where !== event) size = "";
      else if (answer.parts) receive(answer);
      if (!reply.ok) complain(answer.message);
      else if (!queue.length) say("saved");
      if (!reply.ok && reply.status !== 400) again = AGAIN_MS;
    } catch (error) {
      complain(find("#team-status").dataset.offline);
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
    if (sending || document.hidden) return;
    try {
      const reply = await fetch(`/event/${event}/talk?${asking()}&have=${size}`);
      if (reply.status === 200 && !queue.length) receive(await reply.json());
    } catch (error) { /* said when there is something to send */ }
  }
  setInterval(look, LOOK_MS);
  ["online", "focus"].forEach((kind) => window.addEventListener(kind, look));

  /* whether it is written down, in words */
  function say(key) {
    const line = find("#team-status");
    if (!line) return;
    line.classList.remove("bad");
    line.removeAttribute("role");
    line.replaceChildren(line.dataset[key]);
  }
  function complain(message) {
    const line = find("#team-status");
    if (line.textContent.startsWith(message)) return;
    const button = (text, does) => {
      const made = Object.assign(document.createElement("button"), { type: "button", textContent: text });
      made.addEventListener("click", does);
      return made;
    };
    line.classList.add("bad");
    line.setAttribute("role", "alert");
    const { again, file } = line.dataset;
    line.replaceChildren(message, " ", button(again, () => later(0)), " ", button(file, asFile));
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
  const writing = (place) => {
    const field = document.activeElement;
    return place && place.contains(field) && field.matches('input:not([type="checkbox"])') && field.value !== field.defaultValue;
  };
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
  const arrived = [];
  let standing = {};
  function receive(answer) {
    paint(answer.parts);
    if (!answer.state) return;
    size = answer.size;
    standing = answer.state.notes;
    join();
    const waits = (...kinds) => queue.some((one) => !one.sent && kinds.includes(one.change.do));
    if (!waits("theme")) all("[data-theme][data-section]").forEach((box) => {
      box.checked = (answer.state.themes[box.dataset.section] || []).includes(box.dataset.theme);
    });
    if (!waits("start", "stop")) arrived.forEach((tell) => tell(answer.state));
  }

  /* notes: what is typed waits a moment; what others wrote meanwhile is joined with it */
  const waiting = (section) => queue.findLast((one) => one.event === event && !one.adopted && one.change.do === "note"
    && one.change.section === section && one.change.meeting === meeting);
  function join() {
    all("[data-note]").forEach((area) => {
      const section = area.dataset.note;
      const theirs = standing[section] || "";
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
      const was = mine ? mine.change.text : standing[section] || "";
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

  /* the page is there: what waits in this browser goes into its fields, then what stands in the folder is asked for */
  function begin() {
    all("[data-note]").forEach((area) => {
      const mine = waiting(area.dataset.note);
      if (mine) area.value = mine.change.text;
    });
    size = "";
    look();
  }
  debrief.talk = { event, meeting, asking, change, fresh, grow, arrived, begin, find, all, merged };
})();
