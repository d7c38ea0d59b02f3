/* A case of another site, sent as an ordinary form. */
(function () {
  "use strict";
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.dataset || form.dataset.takes !== "case") return;
    event.preventDefault();
    const file = form.querySelector('[data-case="file"]').files[0];
    const body = new FormData();
    body.append("name", form.querySelector('[data-answer="name"]').value);
    if (file) body.append("file", file);
    const reply = await fetch("/cases", { method: "POST", body, headers: { "X-Debrief": "yes" } });
    const said = await reply.json().catch(() => ({}));
    if (reply.ok) window.location.assign(said.go);
    else form.querySelector('[role="status"]').textContent = said.message || reply.statusText;
  });
})();
