"""How long one event takes: all figures without and with draws, and whole processes.

Run ``python -m tests.benchmarks.one_event``. Prints medians; a reading of a busy machine is no verdict.
"""

import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np

from debrief.assess import Asked, assess_event
from debrief.clocks.align import align
from debrief.clocks.draws import draw
from debrief.clocks.reconcile import reconcile
from debrief.course import decide, place
from debrief.importers import Settings, read_event
from debrief.measures import measure
from debrief.model.occurrences import from_marks
from debrief.model.structure import People, PointTimes, Times
from debrief.resources import shipped
from tests.benchmarks.timing import took

ADULT = People(np.ones(1, np.bool_), np.zeros(1, np.bool_), np.full(1, np.nan))


def made(compressions: int) -> str:
    """Return an event of 200 marks as text, or of so many single compressions and some 60 marks."""
    rows = ["time,mark,detail,amount,unit,route", "0.00,recognition,,,,"]
    at, end = 20.0, 1200.0
    if compressions:
        for i in range(compressions):
            at += 0.5 + 8 * (i % 230 == 229)
            rows.append(f"{at:.2f},compression,released,52,mm,")
        end = at
    else:
        for i in range(70):
            rows.append(f"{20 + 16.8 * i:.2f},compressions start,,,,")
            rows.append(f"{32.8 + 16.8 * i:.2f},compressions stop,,,,")
    rows += [f"{120 * i + 1:.2f},shock,,200,J," for i in range(1, 9)]
    rows += [f"{120 * i:.2f},rhythm,vf,,," for i in range(1, 9)]
    rows += [f"{200 * i:.2f},drug,epinephrine,1,mg,iv" for i in range(1, 7)]
    rows += [f"{30 * i:.2f},etco2,,20,mmHg," for i in range(1, 37)]
    return "\n".join([*rows, f"{end + 10:.2f},rosc,,,,"])


def figures(folder: Path, compressions: int) -> None:
    """Print how long reading, figures and the report of one event take."""
    path = folder / f"made_{compressions}.csv"
    path.write_text(made(compressions), encoding="utf-8")
    settings = Settings(kind="sensor" if compressions else "device")
    event = read_event([path], settings)
    aligned = align(event)
    names = [str(i) for i in range(len(aligned.marks))]
    marks = from_marks(aligned.marks, aligned.sources, aligned.source)
    occ = reconcile(marks, names).occurrences

    def all_figures(times: Callable[[], Times]) -> Callable[[], object]:
        return lambda: measure(place(decide(occ, ADULT), times()))

    print(f"{len(occ)} occurrences")
    print(f"  read the file              {took(lambda: read_event([path], settings)) * 1e3:8.1f} ms")
    print(f"  all figures, no draws      {took(all_figures(lambda: PointTimes(occ))) * 1e3:8.1f} ms")
    print(f"  all figures, 500 draws     {took(all_figures(lambda: draw(occ, 500))) * 1e3:8.1f} ms")
    print(
        f"  file read to report        {took(lambda: assess_event(event, Asked()).to_dict()) * 1e3:8.1f} ms"
    )


def process(*words: str) -> None:
    """Print how long a whole process takes."""
    command = [sys.executable, "-m", "debrief", *words]
    shown = " ".join(Path(word).name for word in words)
    print(
        f"debrief {shown:36} {took(lambda: subprocess.run(command, capture_output=True, check=True)):8.2f} s"
    )


def main() -> None:
    """Print all of it."""
    with tempfile.TemporaryDirectory() as folder:
        for compressions in (0, 15_000):
            figures(Path(folder), compressions)
    process("--help")
    process("measure", str(shipped("sample_events") / "vf_log_and_sheet"))


if __name__ == "__main__":
    main()
