/* Sums that need no server: what if no pause were long. */
(function () {
  "use strict";
  const SPACE = "\u202f";

  /* what if: every pause cut to a length. Arithmetic on the pauses that were seen */
  function whatIf(control) {
    const box = control.closest(".what-if");
    const cap = Number(control.value);
    const pauses = JSON.parse(box.dataset.pauses);
    const sum = (lengths, most) => lengths.reduce((whole, length) => whole + Math.min(length, most), 0);
    const all = pauses.reduce((whole, lengths) => whole + sum(lengths, Infinity), 0);
    const capped = pauses.map((lengths) => sum(lengths, cap));
    const lost = capped.reduce((whole, seconds) => whole + seconds, 0);
    const limit = `${cap}${SPACE}s`;
    const value = `${(100 * (1 - lost / Number(box.dataset.asked))).toFixed(0)}${SPACE}%`;
    const fill = (template) => template.replace("{limit}", limit).replace("{value}", value);
    box.querySelectorAll(".capped i").forEach((piece, number) => {
      piece.style.width = `${(100 * capped[number]) / all}%`;
    });
    box.querySelector("output").textContent = limit;
    box.querySelector(".said").textContent = fill(box.dataset.said);
    control.setAttribute("aria-valuetext", fill(box.dataset.value));
  }
  document.addEventListener("input", (event) => {
    if (event.target.id === "what-if") whatIf(event.target);
  });
})();
