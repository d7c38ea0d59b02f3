/* Lists of events and trends: what is asked for stands in the address, and goes to the program as it is typed. */
(function () {
  "use strict";
  let later = 0;
  function ask(form) {
    const address = new URL(window.location);
    const put = (name, value) => {
      if (value) address.searchParams.set(name, value);
      else address.searchParams.delete(name);
    };
    form.querySelectorAll("[data-asks]").forEach((control) => put(control.dataset.asks, control.value));
    put("page", "");
    go(address, form.dataset.asking);
  }
  function go(address, store) {
    window.history.replaceState(null, "", address);
    window.debrief.set(store || "wanted-events", { data: { search: address.search, at: Date.now() } });
  }
  document.addEventListener("click", (event) => {
    const link = event.target.closest && event.target.closest("#events thead a, #events .pager a");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    go(new URL(link.href));
  });
  const formOf = (event) => event.target.closest && event.target.closest("[data-asking]");
  ["input", "change"].forEach((kind) => document.addEventListener(kind, (event) => {
    const form = formOf(event);
    if (!form) return;
    window.clearTimeout(later);
    later = window.setTimeout(() => ask(form), kind === "input" ? 250 : 0);
  }));
  /* while events are being measured it is asked again; what is being typed stays */
  window.debrief.painted.push((part) => {
    if (part.id !== "events" || !part.querySelector("[data-waiting]")) return;
    window.setTimeout(() => go(new URL(window.location)), 300);
  });
})();
