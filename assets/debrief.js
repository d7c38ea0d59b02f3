/* What all pages do in the browser: light, language, answers, parts that come as HTML. */
(function () {
  "use strict";
  const set = (id, props) => window.dash_clientside.set_props(id, props);
  const debrief = { set, painted: [] };
  window.debrief = debrief;

  /* light: the choice is kept in a cookie, so that the next page comes in its colours at once */
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const keep = (name, value) => { document.cookie = `${name}=${value};path=/;max-age=31536000;samesite=lax`; };
  debrief.theme = () => document.documentElement.dataset.theme || (dark.matches ? "dim" : "light");
  debrief.recolour = () => {};
  function switchLight() {
    const next = debrief.theme() === "dim" ? "light" : "dim";
    document.documentElement.dataset.theme = next;
    keep("theme", next);
    debrief.recolour();
  }
  dark.addEventListener("change", () => debrief.recolour());

  /* answers: every control of a form with data-answers goes into the store that it names */
  function answers(form) {
    const said = {};
    form.querySelectorAll("[data-answer]").forEach((control) => {
      if (!control.closest("[hidden]")) said[control.dataset.answer] = control.value;
    });
    return said;
  }
  document.addEventListener("change", (event) => {
    const control = event.target;
    if (control.id === "language") { keep("language", control.value); window.location.reload(); return; }
    const form = control.closest && control.closest("[data-answers], [data-submits]");
    if (!form || !control.dataset.answer) return;
    fit(form);
    if (!form.dataset.answers) return;
    if (control.dataset.address) {
      const address = new URL(window.location);
      if (control.value) address.searchParams.set(control.dataset.address, control.value);
      else address.searchParams.delete(control.dataset.address);
      window.history.replaceState(null, "", address);
    }
    set(form.dataset.answers, { data: { said: answers(form), name: control.dataset.answer, value: control.value } });
  });
  /* fields with data-for show where the form's kind is among theirs */
  function fit(form) {
    const kind = form.querySelector('[data-answer="kind"]');
    if (!kind) return;
    form.querySelectorAll("[data-for]").forEach((field) => {
      field.hidden = !field.dataset.for.split(" ").includes(kind.value);
    });
  }
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
  const same = (element) => ["answer", "value", "turn"].filter((key) => element.dataset[key])
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
      debrief.painted.forEach((done) => done(place));
    });
    return "";
  }
  window.dash_clientside = Object.assign({}, window.dash_clientside, { page: { paint } });

  /* first the answer to a click, then the timeline, which takes longer to draw */
  let moving = null;
  /* a form that was asked for is where one goes on */
  debrief.painted.push((part) => {
    if (part.id === "correction" && part.firstElementChild) part.querySelector('[data-answer="time"]').focus();
  });
  debrief.painted.push((part) => {
    if (!moving || !part.id.startsWith("evidence-")) return;
    const move = moving;
    moving = null;
    window.requestAnimationFrame(() => setTimeout(move));
  });
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("button");
    if (!hit) return;
    if (hit.id === "light") switchLight();
    if (hit.dataset.shows) {
      const shown = document.getElementById("main").classList.toggle(`with-${hit.dataset.shows}`);
      hit.setAttribute("aria-pressed", String(shown));
    }
    if (hit.dataset.opens) document.getElementById(hit.dataset.opens).showModal();
    if (hit.dataset.closes !== undefined) hit.closest("dialog").close();
    const open = hit.getAttribute("aria-expanded") !== "true";
    if (hit.hasAttribute("aria-expanded")) hit.setAttribute("aria-expanded", String(open));
    if (hit.dataset.set) set(hit.dataset.set, { data: { value: hit.dataset.value, open, at: Date.now() } });
    if (!hit.dataset.from) return;
    const move = () => { open ? debrief.show(Number(hit.dataset.from), Number(hit.dataset.to)) : debrief.show(null); };
    if (hit.dataset.set) moving = move;
    else move();
  });
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("[data-sure]");
    if (hit && !window.confirm(hit.dataset.sure)) { event.preventDefault(); event.stopPropagation(); }
  }, true);

  /* on paper everything that is folded is open, and afterwards as it was */
  let folded = [];
  window.addEventListener("beforeprint", () => {
    folded = Array.from(document.querySelectorAll("details:not([open])"));
    folded.forEach((one) => { one.open = true; });
  });
  window.addEventListener("afterprint", () => folded.forEach((one) => { one.open = false; }));
})();
