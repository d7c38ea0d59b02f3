/* Files: dropped or chosen, asked about where there are several, sent to this computer's own program. */
(function () {
  "use strict";
  let chosen = [];
  const line = () => document.querySelector("#drop .status");
  function status(text, bad) {
    line().textContent = text;
    line().classList.toggle("bad", Boolean(bad));
  }
  const fill = (text, values) => Object.entries(values).reduce((made, [name, value]) => made.replace(`{${name}}`, value), text);
  async function post(as, files) {
    const form = new FormData();
    form.append("as", as);
    files.forEach((file) => form.append("files", file, file.name));
    const reply = await fetch("/files", { method: "POST", body: form, headers: { "X-Debrief": "1" } });
    const said = await reply.json();
    return reply.ok ? said : { ...said, refused: true };
  }
  async function send(as) {
    const big = chosen.find((file) => file.size > Number(document.getElementById("drop").dataset.most));
    if (big) { status(fill(line().dataset.big, { file: big.name }), true); return; }
    status(line().dataset.working);
    document.querySelector("#drop .became").replaceChildren();
    try {
      if (as === "several" && chosen.length > 1) { await each(); return; }
      const said = await post(as, chosen);
      if (said.refused) { status(said.message, true); return; }
      if (said.holds) { status(""); ask(said.holds); return; }
      if (said.go) { window.location.assign(said.go); return; }
      status("");
      tell(said.became);
    } catch (error) {
      status(line().dataset.failed, true);
    }
  }
  /* many files go one after the other, so that what came of each stands there at once */
  async function each() {
    const counts = { added: 0, here: 0, refused: 0 };
    for (const [number, file] of chosen.entries()) {
      status(fill(line().dataset.progress, { number: number + 1, total: chosen.length, file: file.name }));
      const said = await post("several", [file]);
      const became = said.became || [{ did: "refused", said: `${file.name}: ${said.message}`, attention: true }];
      became.forEach((one) => { counts[one.did === "added" || one.did === "refused" ? one.did : "here"] += 1; });
      tell(became);
    }
    status(fill(line().dataset.done, counts));
  }
  /* what somebody should look at stands before the rest */
  function tell(became) {
    const place = document.querySelector("#drop .became");
    became.forEach((one) => {
      const item = document.createElement("li");
      const told = document.createElement(one.address ? "a" : "span");
      told.textContent = one.said;
      if (one.address) told.href = one.address;
      item.classList.toggle("attention", one.attention);
      item.append(told);
      const rest = Array.from(place.children).find((other) => !other.classList.contains("attention"));
      if (one.attention && rest) place.insertBefore(item, rest);
      else place.append(item);
    });
    place.hidden = false;
    document.querySelector("#drop .ask").hidden = true;
    window.debrief.set("dropped-files", { data: Date.now() });
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
