"""How long the registry takes: adding event folders, listing, opening one.

Run ``python -m tests.benchmarks.registry``, with the address of an empty registry or without. Prints rates
and medians; a reading of a busy machine is no verdict.
"""

import json
import random
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

from debrief.assess import Asked, assess_event
from debrief.dashboard.listed import Asked as Wanted
from debrief.dashboard.pages import events
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.importers import Found, Settings, read_event
from debrief.registry import listing
from debrief.registry.adding import add_events, how_for
from debrief.registry.store import Registry
from tests.benchmarks.timing import took

EVENTS = 1000
UNITS = ("Alder ward", "Birch ward", "Cedar unit", "Hazel ward")


def made_folder(home: Path, number: int) -> Path:
    """Write an invented event of some 50 marks, and return its folder."""
    random.seed(number)
    folder = home / f"event-{number:05}"
    folder.mkdir()
    at, rows = 50_000 + random.randrange(9000), ["time,mark,detail,amount,unit,route"]

    def add(text: str, after: int) -> None:
        nonlocal at
        at += after
        rows.append(f"{at // 3600:02}:{at // 60 % 60:02}:{at % 60:02},{text}")

    add("recognition,,,,", 0)
    for _ in range(10):
        add("compressions start,,,,", random.randrange(4, 15))
        add("drug,epinephrine,1,mg,iv", random.randrange(20, 60))
        add("compressions stop,,,,", random.randrange(40, 60))
        add("rhythm,vf,,,", 2)
        add("shock,,200,J,", 3)
    add("rosc,,,,", 20)
    (folder / "log.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    day = f"2026-{1 + number % 12:02}-{1 + number % 28:02}"
    about = {"population": "adult", "unit": UNITS[number % len(UNITS)], "date": day}
    about["sources"] = [{"file": "log.csv", "kind": "device"}]
    (folder / "event.json").write_text(json.dumps(about), encoding="utf-8")
    return folder


def opened(kept: Registry, name: str) -> None:
    """Open an event as a page does: lay it down, read it, measure it with bounds."""
    event = read_event([kept.folder(name)], Settings())
    assess_event(event, Asked()).to_dict()


def main(where: str | None = None) -> None:
    """Print all of it."""
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        (home / "in").mkdir()
        folders = [made_folder(home / "in", number) for number in range(EVENTS)]
        with Registry(where or home / "registry", create=True) as kept:
            how = how_for(kept, Asked(draws=0), Settings())
            start = time.perf_counter()
            added = list(add_events(kept, [Found((folder,)) for folder in folders], how))
            seconds = time.perf_counter() - start
            rate = len(added) / seconds
            print(f"{len(added)} event folders added, no draws {rate:8.0f} a second")
            pages = Reports(Shelf(home, where or home / "registry"))
            print(f"all listed                      {took(lambda: listing.events(kept)) * 1e3:8.1f} ms")
            few = took(lambda: listing.events(kept, unit=UNITS[0], since="2026-03-01", until="2026-06-30"))
            print(f"filtered by unit and date       {few * 1e3:8.1f} ms")
            for wanted in (Wanted(), Wanted(q="birch"), Wanted(sort="longest_pause")):
                seconds = took(partial(events.said, pages, wanted))
                print(f"page of all events {wanted!s:20} {seconds * 1e3:8.1f} ms")
            names = iter([row["event_id"] for row in listing.events(kept)] * 2)
            print(f"a known event opened, measured  {took(lambda: opened(kept, next(names))) * 1e3:8.1f} ms")


if __name__ == "__main__":
    main(*sys.argv[1:])
