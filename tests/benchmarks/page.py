"""How long the event page takes with 15,000 single compressions: cold, warm, and a click to its answer.

Run as ``python tests/benchmarks/page.py``. It serves an invented event on this computer and drives the
system's Chromium. Cold: a new browser and a new server, nothing computed or cached. Warm: the page again.
"""

import json
import os
import platform
import random
import shutil
import statistics
import tempfile
import threading
import time
from pathlib import Path

import waitress
from playwright.sync_api import Page, sync_playwright

from debrief.dashboard.app import create_app
from debrief.dashboard.shelf import Shelf

COMPRESSIONS = 15_000
ROUNDS = 5
BETWEEN_CLICKS_MS = 700
"""What a person needs at least to read an answer before the next click."""
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
DRAWN = "#timeline .barlayer path"


def write_event(folder: Path) -> None:
    """Write an event of 15,000 compressions with a pause, a check and a shock about every two minutes."""
    chance = random.Random(1)
    folder.mkdir()
    rows = ["time,mark,detail,amount,unit", "0.000,recognition,,,", "30.000,rhythm,vf,,"]
    at = 60.0
    for number in range(COMPRESSIONS):
        rows.append(f"{at:.3f},compression,,{chance.gauss(52, 4):.1f},mm")
        at += chance.gauss(60 / 110, 0.02)
        if number % 220 == 219:
            rows.append(f"{at + 3:.3f},rhythm_check,vf,,")
            rows.append(f"{at + 5:.3f},shock,,200,J")
            at += chance.uniform(6, 14)
        if number % 440 == 300:
            rows.append(f"{at:.3f},drug,epinephrine,1,mg")
    rows.append(f"{at + 5:.3f},rosc,,,")
    (folder / "sensor.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    settings = {
        "format": 1,
        "event_id": "long",
        "population": "adult",
        "setting": "Invented for a benchmark.",
        "sources": [{"file": "sensor.csv", "kind": "sensor", "times": "elapsed"}],
    }
    (folder / "event.json").write_text(json.dumps(settings), encoding="utf-8")


def seconds_to_drawn(page: Page, url: str) -> float:
    """Return how long it takes from asking for the page until its timeline is drawn. [s]"""
    start = time.perf_counter()
    page.goto(url, wait_until="commit")
    page.wait_for_selector(DRAWN, state="attached", timeout=60_000)
    return time.perf_counter() - start


def seconds_to_evidence(page: Page, number: int) -> float:
    """Return how long it takes from a click on a sentence until its evidence is there. [s]"""
    return page.evaluate(
        """async (number) => {
            const button = document.querySelectorAll("button.sentence")[number];
            const item = button.closest("li");
            const start = performance.now();
            button.click();
            while (!item.querySelector(".evidence dl")) await new Promise(requestAnimationFrame);
            return (performance.now() - start) / 1000;
        }""",
        number,
    )


def main() -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as home, sync_playwright() as driver:
        folder = Path(home) / "long"
        write_event(folder)
        shelf = Shelf(Path(home) / "shelf")
        shelf.open(folder)
        server = waitress.create_server(create_app(shelf).server, host="127.0.0.1", port=0, threads=8)
        threading.Thread(target=server.run, daemon=True).start()
        url = f"http://127.0.0.1:{server.effective_port}/event/long"
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 1440, "height": 1000})
        cold = seconds_to_drawn(page, url)
        warm = statistics.median(seconds_to_drawn(page, url) for _ in range(ROUNDS))
        clicks = []
        for number in range(ROUNDS):
            page.wait_for_load_state("networkidle")
            page.wait_for_timeout(BETWEEN_CLICKS_MS)
            clicks.append(seconds_to_evidence(page, number))
        browser.close()
        server.close()
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    print(f"event page, {COMPRESSIONS} compressions, timeline drawn: cold {cold:.2f} s, warm {warm:.2f} s")
    middle, most = 1000 * statistics.median(clicks), 1000 * max(clicks)
    print(f"a click to its answer: median {middle:.0f} ms, most {most:.0f} ms")


if __name__ == "__main__":
    main()
