/* What stands beside the grid of a typed sheet: what is understood, what is kept, the picture, the event. */
(function () {
  "use strict";
  const grid = window.debrief.grid;
  const find = (id) => document.getElementById(id);
  const UNDERSTOOD_MS = 120, KEPT_MS = 700, AGAIN_MS = 4000;
  const OURS = { "X-Debrief": "1" };
  let id = "", version = 0, about = {};
  const key = () => `debrief-typed-${id}`;
  const fresh = () => `t${Array.from(crypto.getRandomValues(new Uint8Array(5)), (one) => one.toString(16).padStart(2, "0")).join("")}`;
  const draft = () => ({ rows: grid.filled(), about, elapsed: about.elapsed === "yes" });
  const post = (what, sent) => fetch(`/type/${id}/${what}`, { method: "POST", headers: { ...OURS, "Content-Type": "application/json" }, body: JSON.stringify(sent) });

  /* the page comes as one piece; what this browser holds and could not send stands before what is kept */
  async function begin(place) {
    place.dataset.begun = "yes";
    id = place.dataset.sheet || fresh();
    const reply = await fetch(`/type/${id}/page`);
    const page = await reply.json();
    if (!reply.ok) { place.textContent = page.message; return; }
    place.innerHTML = page.html;
    grid.words = page.words;
    version = page.version;
    const held = local();
    const mine = held && held.unsent && (held.version === version || !version);
    stand(mine ? held.draft : page.draft);
    if (held && held.unsent && !mine) conflict(held.draft);
    else if (mine) save();
    picture(page.picture);
    grid.render();
    understand();
    grid.go(grid.filled().length, 0);
  }
  function stand(given) {
    grid.rows = given.rows.map((row) => [...row]);
    about = { ...given.about, elapsed: given.elapsed ? "yes" : "" };
    document.querySelectorAll("[data-about]").forEach((one) => { one.value = about[one.dataset.about] || ""; });
  }
  new MutationObserver(() => {
    const place = document.querySelector("#typed-page:not([data-begun])");
    if (place) begin(place);
  }).observe(document.documentElement, { childList: true, subtree: true });

  /* what is understood: asked for a moment after a key, one question at a time, the last answer counts */
  let asking = null, waiting = 0, again = false, parts = {};
  async function ask() {
    if (asking) { again = true; return asking; }
    const sent = draft();
    const width = Math.round(find("typed-timeline").clientWidth);
    asking = post("understood", { draft: sent, width }).then(async (reply) => {
      const answer = await reply.json();
      if (!reply.ok) { status(answer.message, true); return; }
      grid.told = answer.rows;
      grid.show();
      Object.entries(answer.parts).forEach(([name, html]) => {
        if (parts[name] !== html) find(name).innerHTML = html;
        parts[name] = html;
      });
      find("typed-refused").textContent = Object.values(answer.refused).join(" ");
      hint(grid.at[0]);
    }).catch(() => {}).finally(() => { asking = null; });
    await asking;
    if (again) { again = false; await ask(); }
  }
  function understand() { clearTimeout(waiting); waiting = setTimeout(ask, UNDERSTOOD_MS); }

  /* the line below the grid: what is usually given in this row */
  function hint(row) {
    const text = (grid.told[row] || {}).usual || "";
    if (find("typed-hint") && find("typed-hint").textContent !== text) grid.note(text);
  }
  grid.note = (text) => { find("typed-hint").textContent = text; };
  grid.turned = hint;
  grid.usual = async (row) => {
    clearTimeout(waiting);
    await ask();
    const { fill, usual } = grid.told[row] || {};
    if (fill) grid.fill(row, fill);
    else if (!usual) grid.note(grid.say("usualNone"));
  };

  /* kept in this browser at once, and with the program a moment later */
  let saving = 0, sending = false;
  const store = (unsent) => {
    try { window.localStorage.setItem(key(), JSON.stringify({ draft: draft(), version, unsent })); } catch (error) { /* then the program alone keeps it */ }
  };
  const local = () => { try { return JSON.parse(window.localStorage.getItem(key())); } catch (error) { return null; } };
  const forget = () => { try { window.localStorage.removeItem(key()); } catch (error) { /* nothing was held */ } };
  grid.changed = () => {
    if (!window.location.pathname.endsWith(id)) window.history.replaceState(null, "", `/type/${id}`);
    store(true);
    understand();
    if (!find("typed-conflict").hidden) return;
    clearTimeout(saving);
    saving = setTimeout(save, KEPT_MS);
  };
  async function save() {
    clearTimeout(saving);
    if (sending) { saving = setTimeout(save, KEPT_MS); return; }
    sending = true;
    const sent = draft();
    status(grid.say("saving"));
    try {
      const reply = await post("draft", { draft: sent, version });
      const answer = await reply.json();
      if (reply.status === 409) { conflict(draft(), answer.message); return; }
      if (!reply.ok) {
        refused(answer);
        if (reply.status === 507) saving = setTimeout(save, AGAIN_MS);
        return;
      }
      version = answer.version;
      const newer = JSON.stringify(sent) !== JSON.stringify(draft());
      store(newer);
      find("typed-file").hidden = true;
      if (!newer) status(grid.say("saved"));
    } catch (error) {
      status(grid.say("local"), true);
      saving = setTimeout(save, AGAIN_MS);
    } finally { sending = false; }
  }
  function status(text, bad) {
    const line = find("typed-status");
    line.textContent = text;
    line.classList.toggle("bad", Boolean(bad));
  }
  function refused({ message, rows }) {
    status(message, true);
    if (!rows) return;
    find("typed-file").href = URL.createObjectURL(new Blob([rows], { type: "text/csv" }));
    find("typed-file").hidden = false;
  }

  /* two windows on one sheet: neither loses anything, and somebody says what stands */
  let mine = null;
  function conflict(held, message) {
    mine = held;
    find("typed-conflict").hidden = false;
    status(message || find("typed-conflict").dataset.said, true);
  }
  function there() { forget(); window.location.reload(); }
  function own() {
    forget();
    const kept = mine;
    id = fresh();
    version = 0;
    stand(kept);
    find("typed-conflict").hidden = true;
    grid.render();
    grid.changed();
  }

  async function finish() {
    clearTimeout(saving);
    while (sending) await new Promise((done) => setTimeout(done, 30));
    sending = true;
    try {
      const reply = await post("event", { draft: draft(), version });
      const answer = await reply.json();
      if (reply.status === 409) conflict(draft(), answer.message);
      else if (!reply.ok) refused(answer);
      else { forget(); window.location.assign(answer.address); }
    } catch (error) { status(grid.say("local"), true); } finally { sending = false; }
  }

  async function remove() {
    clearTimeout(saving);
    try {
      const reply = await fetch(`/type/${id}/remove`, { method: "POST", headers: OURS });
      if (reply.ok) { forget(); window.location.assign("/type"); }
    } catch (error) { status(grid.say("local"), true); }
  }

  /* the picture: fitted, larger, smaller, turned; a PDF stands in the browser's own reader */
  let zoom = 1, turned = 0;
  function picture(type) {
    const place = find("typed-picture");
    place.hidden = !type;
    find("typed-picture-section").classList.toggle("has", Boolean(type));
    find("typed-picture-note").hidden = Boolean(type);
    document.querySelectorAll("[data-view]").forEach((one) => {
      one.hidden = !type || (type === "application/pdf" && one.dataset.view !== "remove");
    });
    [zoom, turned] = [1, 0];
    if (!type) { place.replaceChildren(); return; }
    const source = `/type/${id}/picture?${Date.now()}`;
    const shown = document.createElement(type === "application/pdf" ? "iframe" : "img");
    shown[type === "application/pdf" ? "title" : "alt"] = grid.say("pictureAlt");
    shown.addEventListener("load", fit);
    shown.src = source;
    const frame = document.createElement("div");
    frame.append(shown);
    place.replaceChildren(frame);
  }
  function fit() {
    const place = find("typed-picture"), image = place.querySelector("img");
    if (!image || !image.naturalWidth) return;
    const { naturalWidth: wide, naturalHeight: high } = image;
    const across = turned % 180 ? high : wide;
    const scale = (zoom * (place.clientWidth - 2)) / across;
    const [width, height] = [wide * scale, high * scale];
    Object.assign(image.style, { width: `${width}px`, height: `${height}px`, transform: `translate(-50%, -50%) rotate(${turned}deg)` });
    Object.assign(place.firstChild.style, { width: `${across * scale}px`, height: `${turned % 180 ? width : height}px` });
  }
  async function send(file) {
    const form = new FormData();
    if (file) form.append("picture", file, "picture");
    try {
      const reply = await fetch(`/type/${id}/picture`, { method: "POST", headers: OURS, body: form });
      const answer = await reply.json();
      if (!reply.ok) { status(answer.message, true); return; }
      status("");
      picture(answer.picture);
      if (file) grid.changed();
    } catch (error) { status(grid.say("local"), true); }
  }
  const views = {
    larger: () => { zoom = Math.min(zoom * 1.4, 8); },
    smaller: () => { zoom = Math.max(zoom / 1.4, 0.5); },
    fit: () => { zoom = 1; },
    turn: () => { turned = (turned + 90) % 360; },
  };

  document.addEventListener("change", (event) => {
    const control = event.target;
    if (control.id === "typed-picture-file") { send(control.files[0]); control.value = ""; }
  });
  document.addEventListener("input", (event) => {
    const { about: name } = event.target.dataset || {};
    if (!name) return;
    about[name] = event.target.value;
    grid.changed();
  });
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("button");
    if (!hit) return;
    if (hit.id === "typed-done") finish();
    if (hit.id === "typed-remove") remove();
    if (hit.id === "typed-there") there();
    if (hit.id === "typed-own") own();
    const { view } = hit.dataset;
    if (view === "remove") send(null);
    if (views[view]) { views[view](); fit(); }
  });
  window.addEventListener("resize", () => { if (find("typed-picture")) fit(); });
  ["dragover", "drop"].forEach((kind) => document.addEventListener(kind, (event) => {
    if (!find("typed-page") || !event.dataTransfer || !event.dataTransfer.types.includes("Files")) return;
    event.preventDefault();
    if (kind === "drop" && event.dataTransfer.files.length) send(event.dataTransfer.files[0]);
  }));
})();
