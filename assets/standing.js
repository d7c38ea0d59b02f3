/* Two people on one event: the page asks what changed elsewhere, shows it, and keeps what is being typed. */
(function () {
  "use strict";
  const EVERY_MS = 4000, OWN_MS = 1500;
  let asking = false;
  const line = () => document.getElementById("elsewhere");
  const typing = () => {
    const here = document.activeElement;
    return Boolean(here && here.matches('#main input[type="text"], #main textarea'));
  };

  /* what was typed into forms and not handed over yet stands there again after they were made anew */
  let typed = null;
  const controls = () => Array.from(document.querySelectorAll("#main form[data-submits] [data-answer]"));
  const keyOf = (control) => `${control.closest("form").dataset.submits} ${control.dataset.answer}`;
  const standing = (control) => control.tagName === "SELECT"
    ? (Array.from(control.options).find((one) => one.defaultSelected) || control.options[0] || {}).value
    : control.defaultValue;
  function remember() {
    typed = new Map(controls().filter((one) => one.value !== standing(one)).map((one) => [keyOf(one), one.value]));
  }
  window.debrief.painted.push((part) => {
    lock();
    if (!typed || !part.querySelector("form[data-submits]")) return;
    controls().forEach((one) => {
      if (!typed.has(keyOf(one))) return;
      one.value = typed.get(keyOf(one));
      one.dispatchEvent(new Event("change", { bubbles: true }));
    });
    window.setTimeout(() => { typed = null; }, 1500);
  });
  function show(version) {
    remember();
    window.debrief.set("changed", { data: version });
  }

  /* a locked event: what would change it is off, and says why */
  function lock() {
    const here = line();
    const why = here && here.dataset.locked;
    document.querySelectorAll(
      "#review form:not(.filter) :is(input, select, button), #review button[data-set]:not([data-turn]), "
      + "#picked button[data-set], #standing form:not(.always) :is(input, select, button)",
    ).forEach((one) => {
      if (why) { one.disabled = true; one.title = why; one.dataset.off = "yes"; return; }
      if (one.dataset.off) { one.disabled = false; one.title = ""; delete one.dataset.off; }
    });
  }

  async function ask() {
    const here = line();
    if (!here || asking || document.hidden) return;
    asking = true;
    try {
      const have = here.dataset.version;
      const path = window.location.pathname.replace(/^(\/event\/[^/]+).*$/, "$1/version");
      const reply = await fetch(`${path}?have=${encodeURIComponent(have)}`);
      if (reply.status === 204) return;
      const said = await reply.json();
      await new Promise((done) => setTimeout(done, OWN_MS));  // what was changed here is painted meanwhile
      const now = line();
      if (!now || now.dataset.version !== have) return;
      now.hidden = false;
      document.getElementById("elsewhere-said").textContent = said.said;
      const button = document.getElementById("elsewhere-show");
      button.hidden = !said.version;
      button.dataset.version = said.version || "";
      if (said.version && !typing()) { show(said.version); news = said.said; }
    } catch (error) { /* the program is not running: the next question finds out */
    } finally { asking = false; }
  }
  /* after it was shown by itself the line stays for a while, so that somebody notices */
  let news = "";
  window.debrief.painted.push((part) => {
    if (part.id !== "standing-line" || !news) return;
    const here = line();
    here.hidden = false;
    document.getElementById("elsewhere-said").textContent = news;
    document.getElementById("elsewhere-show").hidden = true;
    news = "";
  });
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("#elsewhere-show");
    if (hit) show(hit.dataset.version);
  });
  window.setInterval(ask, EVERY_MS);
})();
