// A case: replayed, hidden ahead of its playhead, stopped to ask. Needs no server and asks none.
"use strict";
(async () => {
  const one = (id) => document.getElementById(id);
  const raw = one("case").textContent;
  const data = JSON.parse(raw);
  const made = document.documentElement.dataset.digest;
  const presenting = location.hash === "#presenter";
  const SPEEDS = [1, 2, 5, 10, 20, 30, 60];
  const words = data.words || {};

  one("stopped").hidden = true;
  if (data.format !== 1) { warn(one("case").dataset.newer); return; }
  if (globalThis.crypto && crypto.subtle) {
    const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(raw)));
    if (Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("") !== made) warn(one("case").dataset.changed);
  }
  function warn(text) { one("warned").textContent = text; one("warned").hidden = false; }

  // what is on the page ------------------------------------------------------------------------------------
  function make(name, text, looks) {
    const made = document.createElement(name);
    if (text) made.textContent = text;
    if (looks) made.className = looks;
    return made;
  }
  function fill(text, blanks) { return text.replace(/\{(\w+)\}/g, (all, name) => (name in blanks ? blanks[name] : all)); }
  function clock(seconds) {
    const whole = Math.round(Math.abs(seconds)), hours = Math.floor(whole / 3600);
    const two = (number) => String(number).padStart(2, "0");
    const text = hours ? `${hours}:${two(Math.floor(whole % 3600 / 60))}:${two(whole % 60)}` : `${Math.floor(whole / 60)}:${two(whole % 60)}`;
    return (seconds < 0 && whole ? "-" : "") + text;
  }
  function passed(seconds) { return seconds < 119.5 ? `${Math.floor(seconds)}\u202fs` : clock(Math.floor(seconds)); }

  document.title = data.title;
  one("title").textContent = data.title;
  one("invented").textContent = data.invented;
  one("standing").textContent = data.standing;
  for (const goal of data.goals) one("goals-list").append(make("li", goal));
  one("show-goals").hidden = !data.goals.length;

  /** What appears at its moment: elements in order of time, and how many of them are shown. */
  class Appearing {
    constructor(pairs) {
      this.parts = pairs.sort((a, b) => a[0] - b[0]);
      this.shown = 0;
      for (const [, part] of this.parts) part.classList.add("future");
    }
    show(at) {
      while (this.shown < this.parts.length && this.parts[this.shown][0] <= at) this.parts[this.shown++][1].classList.remove("future");
      while (this.shown && this.parts[this.shown - 1][0] > at) this.parts[--this.shown][1].classList.add("future");
    }
  }
  const stretches = data.stretches.map((stretch) => {
    const box = make("div", "", "stretch");
    box.style.setProperty("--ratio", stretch.width / stretch.height);
    box.style.setProperty("--left", `${100 * stretch.left / stretch.width}%`);
    box.style.setProperty("--axis", `${100 * stretch.axis / stretch.height}%`);
    const plot = make("div", "", "plot"), cover = make("div", "", "cover"), head = make("div", "", "head"), tag = make("b");
    plot.append(cover);
    head.append(tag);
    head.setAttribute("aria-hidden", "true");
    box.innerHTML = stretch.ground;
    box.append(plot);
    box.insertAdjacentHTML("beforeend", stretch.marks);
    box.append(head);
    const drawn = box.lastElementChild.previousElementSibling;
    drawn.setAttribute("aria-hidden", "true");
    one("drawing").append(box);
    const parts = Array.from(drawn.querySelectorAll("[data-id]"), (part) => [Number(part.dataset.id), part]);
    const seconds = stretch.end - stretch.start, plotted = stretch.width - stretch.left - stretch.right;
    return { ...stretch, box, cover, head, tag, appearing: new Appearing(parts), per: 100 * plotted / (stretch.width - stretch.left) / seconds };
  });
  const list = new Appearing(data.happened.map(([time, text]) => {
    const item = make("li", `${clock(time)}  ${text}`);
    one("list").append(item);
    return [time, item];
  }));
  const tracks = Object.entries(data.steps).map(([name, steps]) => {
    const item = make("li", "", name);
    one("sentences").append(item);
    return { steps, item, times: steps.map((step) => step[0]), said: "" };
  });
  const moments = [...new Set([...data.happened.map((each) => each[0]), ...data.questions.map((each) => each.at)])].sort((a, b) => a - b);
  for (const text of data.whatIf) one("ended-list").append(make("li", text));
  const seek = one("seek");
  [seek.min, seek.max] = [data.start, data.end];
  for (const question of data.questions) {
    const notch = make("i");
    notch.style.left = `${100 * (question.at - data.start) / (data.end - data.start)}%`;
    one("notches").append(notch);
  }
  function before(times, at) {  // how many of them are not later
    let low = 0, high = times.length;
    while (low < high) { const middle = (low + high) >> 1; if (times[middle] <= at) low = middle + 1; else high = middle; }
    return low;
  }

  // what there is to know of the replay, and what shows it -----------------------------------------------------
  const state = { at: data.start, playing: false, speed: 10, asked: null, choice: null, written: "", revealed: false };
  let from = { at: 0, now: 0 }, drawn = {};
  const changed = (name, value) => drawn[name] !== value && ((drawn[name] = value), true);

  function show() {
    const at = state.at, second = Math.floor(at + 1e-6);
    const number = Math.max(0, stretches.findLastIndex((stretch) => stretch.start <= at));
    const stretch = stretches[number];
    if (changed("stretch", number)) {
      stretches.forEach((each, place) => each.box.classList.toggle("now", place === number));
      one("which").textContent = stretches.length > 1 ? fill(words.which, { number: number + 1, start: clock(stretch.start), end: clock(stretch.end) }) : "";
    }
    const moved = `translateX(${(at - stretch.start) * stretch.per}%)`;
    stretch.cover.style.transform = moved;
    stretch.head.style.transform = moved;
    stretch.appearing.show(at);
    if (changed("second", `${number}:${second}`) || !state.playing) {
      one("clock").textContent = stretch.tag.textContent = clock(second);
      seek.value = at;
      seek.setAttribute("aria-valuetext", clock(second));
    }
    list.show(at);
    for (const track of tracks) {
      const place = before(track.times, at);
      const [, lead, value, tail, since] = place ? track.steps[place - 1] : [0, "", "", "", null];
      const told = since === null ? value : passed(at - since + 1e-6);
      const said = `${lead}|${told}|${tail}`;
      if (said === track.said) continue;
      track.said = said;
      if (lead + told + tail) track.item.replaceChildren(lead, make("b", told), tail);
      else track.item.replaceChildren();
    }
    if (changed("playing", state.playing)) one("play").textContent = state.playing ? words.pause : words.play;
    if (changed("speed", state.speed)) one("speed").textContent = `${state.speed}\u00d7`;
    showQuestion();
    one("ended").hidden = !data.whatIf.length || at < data.end || state.asked !== null;
    if (presenting) showStops();
    if (!state.playing && changed("said", `${at}:${state.asked}`)) one("announced").textContent = fill(words.now, { time: clock(second) }) + tracks.map((track) => ` ${track.item.textContent}`).join("");
  }
  function showQuestion() {
    const key = JSON.stringify([state.asked, state.choice, state.revealed]);
    const opened = drawn.question === undefined || JSON.parse(drawn.question)[0] !== state.asked;
    if (!changed("question", key)) return;
    const asked = data.questions[state.asked];
    document.body.classList.toggle("asking", Boolean(asked));
    one("question").hidden = !asked;
    if (!asked) return;
    one("prompt").textContent = asked.prompt;
    const last = document.activeElement && document.activeElement.dataset.choice;
    one("choices").replaceChildren(...asked.choices.map((choice, place) => {
      const button = make("button");
      button.type = "button";
      button.dataset.choice = place;
      button.append(make("i", place < 9 ? String(place + 1) : ""), choice);
      button.setAttribute("aria-pressed", String(state.choice === place));
      button.addEventListener("click", () => act("choose", place));
      const item = make("li");
      item.append(button);
      return item;
    }));
    if (last !== undefined) one("choices").querySelector(`[data-choice="${last}"]`)?.focus();
    one("open").hidden = asked.choices.length > 0;
    if (opened) { one("open").value = state.written; one("prompt").focus({ preventScroll: true }); }
    one("revealed").hidden = !state.revealed;
    one("reveal").hidden = state.revealed || !asked.reveal;
    const chosen = state.choice === null ? state.written : asked.choices[state.choice];
    one("said").textContent = chosen || words.nothing_chosen;
    one("happened").textContent = asked.reveal;
    one("might-have").hidden = !asked.whatIf.length;
    one("what-if").replaceChildren(...asked.whatIf.map((text) => make("li", text)));
  }

  // what can be done ----------------------------------------------------------------------------------------
  function reached() { return from.at + (performance.now() - from.now) / 1000 * state.speed; }
  function rebase() { from = { at: state.at, now: performance.now() }; }
  function stop() { state.playing = false; }
  function ask(number) { stop(); Object.assign(state, { asked: number, choice: null, written: "", revealed: false }); }
  function close() { state.asked = null; }
  /** Ask the next question where it stands at the same moment; return whether it does. */
  function asks_on() {
    const next = state.asked === null ? undefined : data.questions[state.asked + 1];
    if (!next || next.at > state.at + 1e-6) return false;
    ask(state.asked + 1);
    return true;
  }
  /** Go forward to a moment, and no further than the next stop or the end. */
  function advance(to) {
    const next = data.questions.findIndex((question) => question.at > state.at + 1e-6 && question.at <= to + 1e-6);
    state.at = Math.min(next < 0 ? to : data.questions[next].at, data.end);
    if (next >= 0) ask(next);
    else if (state.at >= data.end) stop();
  }
  function put(at) { close(); state.at = Math.max(data.start, Math.min(data.end, at)); rebase(); }
  const acts = {
    play() {
      if (state.playing) { advance(reached()); stop(); return; }
      if (asks_on()) return;
      close();
      if (state.at >= data.end) put(data.start);
      state.playing = true;
      rebase();
      requestAnimationFrame(frame);
    },
    step(by) { stop(); close(); if (by > 0) advance(state.at + by); else put(state.at + by); },
    next() { stop(); if (asks_on()) return; close(); advance(moments.find((moment) => moment > state.at + 1e-6) ?? data.end); },
    previous() { stop(); put(moments.findLast((moment) => moment < state.at - 1e-6) ?? data.start); },
    seek(at) { put(at); },
    speed(by) {
      if (state.playing) advance(reached());
      state.speed = SPEEDS[Math.max(0, Math.min(SPEEDS.length - 1, SPEEDS.indexOf(state.speed) + by))];
      rebase();
    },
    stop_at(number) { put(data.questions[number].at); ask(number); },
    choose(place) { if (state.asked !== null && place < data.questions[state.asked].choices.length) state.choice = state.choice === place ? null : place; },
    write(text) { state.written = text; },
    reveal() { if (state.asked !== null && data.questions[state.asked].reveal) state.revealed = true; },
    hello() {},
  };
  let sent = 0;
  function act(name, value) {
    if (presenting) { tell({ does: name, value, number: ++sent }); return; }
    acts[name](value);
    show();
    tell({ state });
  }
  let second = 0;
  function frame() {
    if (!state.playing) return;
    const before = Math.floor(state.at);
    advance(reached());
    const whole = Math.floor(state.at) !== before || !state.playing;
    if (!still.matches || whole) show();
    if (whole && performance.now() - second > 90 || !state.playing) { second = performance.now(); tell({ state }); }
    if (state.playing) requestAnimationFrame(frame);
  }
  const still = matchMedia("(prefers-reduced-motion: reduce)");

  // two windows -----------------------------------------------------------------------------------------------
  let child = null;
  const channel = globalThis.BroadcastChannel ? new BroadcastChannel(`case-${made}`) : null;
  function tell(message) {
    const addressed = { ...message, case: made };
    if (channel) channel.postMessage(addressed);
    const other = presenting ? window.opener : child;
    if (other && !other.closed) other.postMessage(addressed, "*");
  }
  let heard = 0;
  function hear(message) {
    if (!message || message.case !== made) return;
    if (presenting && message.state) { Object.assign(state, message.state); one("alone").hidden = true; show(); }
    if (!presenting && message.does === "hello") { heard = 0; tell({ state }); return; }
    if (presenting || !Object.hasOwn(acts, message.does) || message.number <= heard) return;
    heard = message.number;
    act(message.does, message.value);
  }
  if (channel) channel.addEventListener("message", (event) => hear(event.data));
  window.addEventListener("message", (event) => {
    if (event.source && event.source === (presenting ? window.opener : child)) hear(event.data);
  });

  // the presenter's own ------------------------------------------------------------------------------------
  const stops = presenting ? data.questions.map((question, number) => {
    const item = make("li"), button = make("button", clock(question.at));
    button.type = "button";
    button.addEventListener("click", () => act("stop_at", number));
    const head = make("p");
    head.append(button, " ", make("b", question.prompt));
    item.append(head, make("p", question.note, "note"), make("p", question.reveal));
    one("stops-list").append(item);
    return item;
  }) : [];
  function showStops() {
    const next = data.questions.findIndex((question, number) => number === state.asked || question.at > state.at);
    if (!changed("next", next)) return;
    stops.forEach((item, number) => item.classList.toggle("next", number === next));
    if (next >= 0) stops[next].scrollIntoView({ block: "nearest" });
  }
  document.body.classList.toggle("presenter", presenting);
  one("stops").hidden = one("alone").hidden = !presenting;
  one("presenter").hidden = presenting;
  if (presenting) tell({ does: "hello" });

  // on paper ----------------------------------------------------------------------------------------------------
  data.questions.forEach((question, number) => {
    const asked = make("li"), answered = make("li");
    const text = `${number + 1}. ${fill(words.at, { time: clock(question.at) })} ${question.prompt}`;
    asked.append(make("p", question.known.join(" ")), make("b", text));
    for (const choice of question.choices) asked.append(make("p", choice, "choice"));
    asked.append(make("p", "", "line"), ...(question.choices.length ? [] : [make("p", "", "line")]));
    answered.append(make("b", text), make("p", question.reveal));
    one("asked-list").append(asked);
    one("answered-list").append(answered);
  });
  for (const goal of data.goals) one("paper-goals").append(make("li", goal, "goal"));

  // pressed, typed, dragged ----------------------------------------------------------------------------------
  const on = (id, does, value) => one(id).addEventListener("click", () => act(does, value));
  on("play", "play"); on("back", "step", -1); on("forward", "step", 1); on("previous", "previous"); on("next", "next");
  on("slower", "speed", -1); on("faster", "speed", 1); on("reveal", "reveal"); on("go-on", "play");
  seek.addEventListener("input", () => act("seek", Number(seek.value)));
  one("open").addEventListener("input", () => act("write", one("open").value));
  one("light").addEventListener("click", () => light());
  one("show-goals").addEventListener("click", () => one("goals").showModal());
  one("show-keys").addEventListener("click", () => one("keys").showModal());
  one("presenter").addEventListener("click", () => {
    child = window.open(`${location.href.split("#")[0]}#presenter`, "presenter", "width=1100,height=760");
  });
  for (const button of document.querySelectorAll("dialog button")) button.addEventListener("click", () => button.closest("dialog").close());
  function light() {
    const root = document.documentElement;
    root.dataset.theme = root.dataset.theme === "dim" ? "light" : "dim";
  }
  const keys = {
    " ": () => act("play"), k: () => act("play"),
    ArrowRight: (event) => act("step", event.shiftKey ? 10 : 1), ArrowLeft: (event) => act("step", event.shiftKey ? -10 : -1),
    n: () => act("next"), p: () => act("previous"), "+": () => act("speed", 1), "=": () => act("speed", 1), "-": () => act("speed", -1),
    Home: () => act("seek", data.start), End: () => act("seek", data.end), r: () => act("reveal"), d: light,
    f: () => (document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen()),
    "?": () => one("keys").showModal(),
  };
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("textarea") || document.querySelector("dialog[open]")) return;
    if (event.key === " " && event.target.matches("button, summary")) return;
    if (/^[1-9]$/.test(event.key)) act("choose", Number(event.key) - 1);
    else if (Object.hasOwn(keys, event.key)) keys[event.key](event);
    else return;
    event.preventDefault();
  });

  show();
  document.documentElement.dataset.ready = "yes";
})();
