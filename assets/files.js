/* Files: dropped or chosen, asked about where there are several, sent to this computer's own program. */
(function () {
  "use strict";
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
      if (said.holds) { status(""); return ask(said.holds); }
      if (said.go) return window.location.assign(said.go);
      status("");
      tell(said.became);
    } catch (error) {
      status(line.dataset.failed, true);
    }
  }
  function tell(became) {
    const place = document.querySelector("#drop .became");
    place.append(...became.map((one) => {
      const item = document.createElement("li");
      const told = document.createElement(one.address ? "a" : "span");
      told.textContent = one.said;
      if (one.address) told.href = one.address;
      item.classList.toggle("attention", one.attention);
      item.append(told);
      return item;
    }));
    place.hidden = false;
  }
  function take(files) {
    chosen = Array.from(files);
    if (chosen.length === 1) send("ask");
    else if (chosen.length) ask(chosen.map((file) => file.name));
  }
  function ask(names) {
    const place = document.querySelector("#drop .ask");
    place.querySelector(".chosen").replaceChildren(...names.map((name) => {
      const item = document.createElement("li");
      item.textContent = name;
      return item;
    }));
    place.hidden = false;
    place.querySelector("button").focus();
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
  document.addEventListener("click", (event) => {
    const hit = event.target.closest && event.target.closest("button[data-as]");
    if (hit) send(hit.dataset.as);
  });
  new MutationObserver(addChooser).observe(document.documentElement, { childList: true, subtree: true });
})();
