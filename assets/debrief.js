/* What the pages do in the browser: files, light, lists of choices, the stretch of timeline that is shown. */
(function () {
  "use strict";
  const set = (id, props) => window.dash_clientside.set_props(id, props);

  /* light: the choice is kept in a cookie, so that the next page comes in its colours at once */
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const theme = () => document.documentElement.dataset.theme || (dark.matches ? "dim" : "light");
  function frame() {
    const box = document.getElementById("timeline");
    if (box && box.clientWidth) set("frame", { data: { width: box.clientWidth, theme: theme() } });
  }
  function switchLight() {
    const next = theme() === "dim" ? "light" : "dim";
    document.documentElement.dataset.theme = next;
    document.cookie = `theme=${next};path=/;max-age=31536000;samesite=lax`;
    frame();
  }
  dark.addEventListener("change", frame);
  let resizing;
  window.addEventListener("resize", () => { clearTimeout(resizing); resizing = setTimeout(frame, 250); });

  /* files */
  let chosen = [];
  function status(text, bad) {
    const line = document.querySelector("#drop .status");
    line.textContent = text;
    line.classList.toggle("bad", Boolean(bad));
  }
  async function send(as) {
    const line = document.querySelector("#drop .status");
    status(line.dataset.working);
    const form = new FormData();
    form.append("as", as);
    chosen.forEach((file) => form.append("files", file, file.name));
    try {
      const reply = await fetch("/files", { method: "POST", body: form, headers: { "X-Debrief": "1" } });
      const said = await reply.json();
      if (!reply.ok) return status(said.message, true);
      window.location.assign(said.events.length === 1 ? `/event/${said.events[0]}/understood` : "/");
    } catch (error) {
      status(line.dataset.failed, true);
    }
  }
  function take(files) {
    chosen = Array.from(files);
    const ask = document.querySelector("#drop .ask");
    if (!chosen.length) return;
    if (chosen.length === 1) return send("one");
    const list = ask.querySelector(".chosen");
    list.replaceChildren(...chosen.map((file) => {
      const item = document.createElement("li");
      item.textContent = file.name;
      return item;
    }));
    ask.hidden = false;
    ask.querySelector("button").focus();
  }
  function addChooser() {
    const place = document.querySelector("#drop .chooser");
    if (!place || place.firstChild) return;
    const input = document.createElement("input");
    Object.assign(input, { type: "file", multiple: true, id: "choose-files" });
    input.addEventListener("change", () => take(input.files));
    const label = document.createElement("label");
    Object.assign(label, { htmlFor: "choose-files", className: "choose", textContent: place.dataset.label });
    place.append(input, label);
  }
  ["dragover", "dragleave", "drop"].forEach((kind) => document.addEventListener(kind, (event) => {
    const drop = document.getElementById("drop");
    if (!drop) return;
    event.preventDefault();
    drop.classList.toggle("over", kind === "dragover");
    if (kind === "drop") take(event.dataTransfer.files);
  }));

  /* answers: every control of a form with data-answers goes into the store that it names */
  function answers(form) {
    const said = {};
    form.querySelectorAll("[data-answer]").forEach((control) => { said[control.dataset.answer] = control.value; });
    return said;
  }
  document.addEventListener("change", (event) => {
    const form = event.target.closest && event.target.closest("[data-answers]");
    const control = event.target;
    if (!form || !control.dataset.answer) return;
    if (control.dataset.address) {
      const address = new URL(window.location);
      address.searchParams.set(control.dataset.address, control.value);
      window.history.replaceState(null, "", address);
    }
    set(form.dataset.answers, { data: { said: answers(form), name: control.dataset.answer, value: control.value } });
  });
  /* a list that could be long gets the rest of its choices when somebody turns to it */
  document.addEventListener("focusin", (event) => {
    const list = event.target;
    if (!list.dataset || !list.dataset.more || list.dataset.filled) return;
    list.dataset.filled = "yes";
    list.append(...Array.from(document.getElementById(list.dataset.more).children, (group) => group.cloneNode(true)));
  });
  document.addEventListener("submit", (event) => {
    event.preventDefault();
    const form = event.target;
    if (form.dataset.submits) set(form.dataset.submits, { data: { said: answers(form), at: Date.now() } });
  });

  /* what fills the parts of a page comes as HTML; focus and what was unfolded stay as they were */
  const same = (element) => ["answer", "value"].filter((key) => element.dataset[key])
    .map((key) => `[data-${key}="${CSS.escape(element.dataset[key])}"]`).join("");
  function paint(parts) {
    Object.entries(parts || {}).forEach(([id, html]) => {
      const place = document.getElementById(id);
      if (!place) return;
      const focused = place.contains(document.activeElement) ? same(document.activeElement) : "";
      const unfolded = Array.from(place.querySelectorAll("details")).map((one) => one.open);
      place.innerHTML = html;
      place.querySelectorAll("details").forEach((one, number) => { one.open = Boolean(unfolded[number]); });
      const again = focused && place.querySelector(focused);
      if (again) again.focus({ preventScroll: true });
    });
    return "";
  }
  window.dash_clientside = Object.assign({}, window.dash_clientside, { page: { paint } });

  /* the stretch shown, kept in the address */
  function show(from, to) {
    const address = new URL(window.location);
    if (from === null) { address.searchParams.delete("from"); address.searchParams.delete("to"); }
    else { address.searchParams.set("from", from); address.searchParams.set("to", to); }
    window.history.replaceState(null, "", address);
    set("shown", { data: from === null ? null : [from, to] });
  }
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("button, [data-from]");
    if (!hit) return;
    if (hit.id === "light") switchLight();
    if (hit.dataset.as) send(hit.dataset.as);
    const open = hit.getAttribute("aria-expanded") !== "true";
    if (hit.hasAttribute("aria-expanded")) hit.setAttribute("aria-expanded", String(open));
    if (hit.dataset.set) set(hit.dataset.set, { data: { value: hit.dataset.value, open, at: Date.now() } });
    if (hit.dataset.from && open) show(Number(hit.dataset.from), Number(hit.dataset.to));
    if (hit.dataset.from && !open) show(null, null);
    if (hit.dataset.zoom || hit.dataset.move) stretch(Number(hit.dataset.zoom || 1), Number(hit.dataset.move || 0));
  });
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("[data-sure]");
    if (hit && !window.confirm(hit.dataset.sure)) { event.preventDefault(); event.stopPropagation(); }
  }, true);

  function stretch(zoom, move) {
    const graph = document.querySelector("#timeline .js-plotly-plot");
    if (!graph || !graph.layout) return;
    const [from, to] = graph.layout.xaxis.range;
    const half = ((to - from) / 2) * zoom;
    const middle = (from + to) / 2 + (to - from) * move;
    show(Math.round(middle - half), Math.round(middle + half));
  }
  function watchTimeline() {
    const graph = document.querySelector("#timeline .js-plotly-plot");
    if (!graph || !graph.on || graph.dataset.watched) return;
    graph.dataset.watched = "yes";
    graph.on("plotly_relayout", (change) => {
      const range = change["xaxis.range"] || [change["xaxis.range[0]"], change["xaxis.range[1]"]];
      if (change["xaxis.autorange"]) show(null, null);
      else if (range[0] !== undefined) show(Math.round(range[0] * 10) / 10, Math.round(range[1] * 10) / 10);
    });
  }

  new MutationObserver(() => {
    addChooser();
    watchTimeline();
    const box = document.getElementById("timeline");
    if (box && !box.dataset.measured) { box.dataset.measured = "yes"; frame(); }
  }).observe(document.documentElement, { childList: true, subtree: true });
  window.addEventListener("beforeprint", () => document.querySelectorAll("details.twin").forEach((one) => { one.open = true; }));
})();
