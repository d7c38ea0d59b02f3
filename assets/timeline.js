/* The timeline: the stretch that is shown, stepping from mark to mark, its colours, its picture for paper. */
(function () {
  "use strict";
  const debrief = window.debrief;
  const graph = () => {
    const found = document.querySelector("#timeline .js-plotly-plot");
    return found && found._fullLayout && found._fullLayout.xaxis ? found : null;
  };

  /* width and colours */
  const FRAMED = "[data-frame]";
  function frame() {
    const box = document.querySelector(FRAMED);
    if (!box || !box.clientWidth) return;
    if (box.id === "timeline") debrief.set("theme", { data: debrief.theme() });
    debrief.set(box.dataset.frame, { data: { width: box.clientWidth } });
  }
  let resizing;
  window.addEventListener("resize", () => { clearTimeout(resizing); resizing = setTimeout(frame, 250); });

  /* a change of light is seen at once: every colour of the figure has its twin in the other theme */
  debrief.recolour = () => {
    const shown = graph();
    if (!shown) return;
    const box = document.getElementById("timeline");
    const themes = JSON.parse(box.dataset.themes);
    const theme = debrief.theme();
    const from = themes[theme === "dim" ? "light" : "dim"];
    const twin = new Map(Object.keys(from).map((name) => [from[name], themes[theme][name]]));
    const all = new RegExp(Array.from(twin.keys()).join("|"), "g");
    const text = JSON.stringify({ data: shown.data, layout: shown.layout }).replace(all, (one) => twin.get(one));
    const { data, layout } = JSON.parse(text);
    window.Plotly.react(shown, data, layout, JSON.parse(box.dataset.config));
    debrief.set("theme", { data: theme });
  };

  /* the stretch shown, kept in the address */
  debrief.show = (from, to) => {
    const address = new URL(window.location);
    if (from === null) { address.searchParams.delete("from"); address.searchParams.delete("to"); }
    else { address.searchParams.set("from", from); address.searchParams.set("to", to); }
    window.history.replaceState(null, "", address);
    debrief.set("shown", { data: from === null ? null : [from, to] });
  };
  const tenth = (seconds) => Math.round(seconds * 10) / 10;
  function stretch(zoom, move) {
    const shown = graph();
    if (!shown) return;
    const [from, to] = shown._fullLayout.xaxis.range;
    const half = ((to - from) / 2) * zoom;
    const middle = (from + to) / 2 + (to - from) * move;
    debrief.show(tenth(middle - half), tenth(middle + half));
  }
  function watch() {
    const box = document.querySelector(FRAMED);
    if (box && !box.dataset.measured) { box.dataset.measured = "yes"; setTimeout(frame); }  /* after the first round of callbacks */
    const shown = document.querySelector("#timeline .js-plotly-plot");
    if (!shown || !shown.on || shown.dataset.watched) return;
    shown.dataset.watched = "yes";
    shown.on("plotly_relayout", (change) => {
      const range = change["xaxis.range"] || [change["xaxis.range[0]"], change["xaxis.range[1]"]];
      if (change["xaxis.autorange"]) debrief.show(null);
      else if (range[0] !== undefined) debrief.show(tenth(range[0]), tenth(range[1]));
    });
    shown.on("plotly_relayouting", place);
    shown.on("plotly_afterplot", place);
    picture();
  }
  new MutationObserver(watch).observe(document.documentElement, { childList: true, subtree: true });

  /* stepping: a line on the timeline, and what stands there said in words */
  let here = null;
  const steps = () => Array.from(document.querySelectorAll("#steps li"));
  const at = (step) => Number(step.dataset.at);
  function place() {
    const line = document.getElementById("playhead");
    const shown = graph();
    if (!line || !shown) return;
    const axis = shown._fullLayout.xaxis, size = shown._fullLayout._size;
    const x = here ? axis.l2p(at(here)) : -1;
    line.hidden = x < 0 || x > axis._length;
    line.style.transform = `translateX(${axis._offset + x}px)`;
    line.style.height = `${size.t + size.h}px`;
  }
  function step(forward, pauses) {
    const all = steps().filter((one) => (one.dataset.pause !== undefined) === pauses);
    if (!all.length) return;
    const shown = graph();
    const place_ = here ? at(here) : shown ? shown._fullLayout.xaxis.range[forward ? 0 : 1] : 0;
    const number = all.indexOf(here);
    let next = number >= 0 ? number + (forward ? 1 : -1)
      : forward ? all.findIndex((one) => at(one) >= place_) : all.findLastIndex((one) => at(one) <= place_);
    if (next < 0) next = forward && number < 0 ? all.length - 1 : 0;
    go(all[Math.min(next, all.length - 1)]);
  }
  function go(to) {
    here = to;
    document.getElementById("step-said").textContent = here.textContent;
    const shown = graph();
    if (shown) {
      const [from, end] = shown._fullLayout.xaxis.range;
      const half = (end - from) / 2;
      if (at(here) < from || at(here) > end) debrief.show(tenth(at(here) - half), tenth(at(here) + half));
    }
    place();
  }
  const zoomTo = () => { if (here) debrief.show(Number(here.dataset.low), Number(here.dataset.high)); };
  debrief.painted.push((part) => {
    if (part.id === "steps" && here) {
      here = steps().find((one) => one.dataset.at === here.dataset.at) || null;
      place();
    }
  });
  const deeds = {
    "next": () => step(true, false), "previous": () => step(false, false),
    "next-pause": () => step(true, true), "previous-pause": () => step(false, true), "to": zoomTo,
  };
  const keys = { ".": "next", ",": "previous", "]": "next-pause", "[": "previous-pause", "f": "to" };
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("button");
    if (!hit) return;
    if (hit.dataset.zoom || hit.dataset.move) stretch(Number(hit.dataset.zoom || 1), Number(hit.dataset.move || 0));
    if (hit.dataset.turn && deeds[hit.dataset.turn]) deeds[hit.dataset.turn]();
  });

  /* single keys, which can be switched off, and never work while somebody writes */
  const KEPT = "debrief-single-keys";
  const listening = () => window.localStorage.getItem(KEPT) !== "off";
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing || event.defaultPrevented) return;
    if (!document.getElementById("steps") || document.querySelector("dialog[open]") || !listening()) return;
    if (event.target.closest("input, select, textarea, [contenteditable]")) return;
    if (event.key === "?") document.getElementById("keys").showModal();
    else if (keys[event.key]) deeds[keys[event.key]]();
    else return;
    event.preventDefault();
  });
  document.addEventListener("change", (event) => {
    if (event.target.id === "single-keys") window.localStorage.setItem(KEPT, event.target.checked ? "on" : "off");
  });
  debrief.painted.push((part) => {
    const box = part.querySelector("#single-keys");
    if (box) box.checked = listening();
  });

  /* the picture for paper is drawn by the server, in light colours; it comes when there is time */
  const quiet = window.requestIdleCallback || ((work) => setTimeout(work, 300));
  let coming = false;
  function picture() {
    if (coming) return;
    coming = true;
    quiet(async () => {
      coming = false;
      const paper = document.getElementById("paper");
      if (!paper) return;
      const reply = await fetch(paper.dataset.source);
      if (reply.ok) paper.innerHTML = await reply.text();
    });
  }
  debrief.painted.push((part) => { if (part.id === "figures" && graph()) picture(); });
})();
