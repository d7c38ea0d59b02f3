"""How smoothly a case is replayed: ``python -m tests.benchmarks.replay``. 158 min, 15,000 compressions.

Prints the size of the file, how long it takes to open, frames a second and how long slow frames take.
"""

import shutil
import tempfile
import time
from itertools import pairwise
from pathlib import Path

from playwright.sync_api import sync_playwright

from debrief.assess import Asked
from debrief.importers import Settings
from debrief.reports.case import case_file
from debrief.reports.cases import copy_of
from debrief.teaching.case import Case
from debrief.teaching.questions import suggested

MINUTES, COMPRESSIONS, SECONDS = 158, 15_000, 5
FRAMES = """(seconds) => new Promise((done) => {
  const times = [], start = performance.now();
  const frame = (now) => {
    times.push(now);
    now - start < seconds * 1000 ? requestAnimationFrame(frame) : done(times);
  };
  requestAnimationFrame(frame);
})"""


def write_event(path: Path) -> None:
    """Write an arrest in which every compression is a mark, with a check every two minutes."""
    rows, at, step = (
        ["time,mark,detail,amount,unit", "0:00:00,recognition,,,"],
        20.0,
        MINUTES * 60 / COMPRESSIONS,
    )
    for number in range(COMPRESSIONS):
        at += step if number % 190 else 9.0
        rows.append(f"{_clock(at)},compression,,52,mm")
        if number % 400 == 200:
            rows.append(f"{_clock(at + 0.1)},epinephrine,,1,mg")
    rows.append(f"{_clock(at + 1)},rosc,,,")
    path.write_text("\n".join(rows), encoding="utf-8")


def _clock(seconds: float) -> str:
    return f"{int(seconds // 3600)}:{int(seconds % 3600 // 60):02}:{seconds % 60:06.3f}"


def main() -> None:
    """Make the case, open it and replay it."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        source, page_path = Path(folder, "event.csv"), Path(folder, "case.html")
        write_event(source)
        copy, _ = copy_of([source], Settings(times="elapsed"), Asked(draws=0))
        page_path.write_bytes(case_file(Case(copy.report, questions=tuple(suggested(copy.report)))))
        print(f"{page_path.stat().st_size / 1000:.0f} kB")
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        begun = time.perf_counter()
        page.goto(page_path.as_uri())
        page.wait_for_selector("html[data-ready]")
        print(f"open in {time.perf_counter() - begun:.2f} s")
        for presses, at in ((0, 3000), (3, 3000)):
            page.locator("#seek").evaluate(
                "(one, at) => { one.value = at; one.dispatchEvent(new Event('input')); }", at
            )
            for _ in range(presses):
                page.keyboard.press("+")
            page.keyboard.press(" ")
            times = page.evaluate(FRAMES, SECONDS)
            speed = page.locator("#speed").inner_text()
            playing = page.locator("#play").inner_text()
            page.keyboard.press(" ")
            gaps = sorted(later - before for before, later in pairwise(times))
            slow = gaps[int(len(gaps) * 0.99) - 1]
            print(
                f"{speed} ({playing}): {1000 * len(gaps) / sum(gaps):.1f} frames a second, slow {slow:.1f} ms"
            )
        browser.close()


if __name__ == "__main__":
    main()
