"""How long the sheet of an event takes: cold in a new process, the whole command, and warm.

Run ``python -m tests.benchmarks.sheet``. Cold: from importing the code to the first page. Warm: another
report each time, so that nothing but the typefaces is kept. Prints medians, the quickest, and what the
processor worked; a reading of a busy machine is no verdict.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from debrief.assess import assess
from debrief.reports.sheet import sheet
from debrief.reports.spoken import spoken
from debrief.reports.typeset import Form
from debrief.resources import shipped
from debrief.talk.kept import Talk

RUNS = 15
SAMPLES = ("vf_log_and_sheet", "extracorporeal", "sensor_then_device")
COLD = """
import json, sys, time
report = json.load(sys.stdin)
wall, own = time.perf_counter(), time.process_time()
from debrief.reports.sheet import sheet
sheet(report)
print(time.perf_counter() - wall, time.process_time() - own)
"""


def said(what: str, times: list[tuple[float, ...]]) -> None:
    """Print the medians of some times, and the quickest."""
    wall, *own = (median(column) * 1000 for column in zip(*times, strict=True))
    processor = f", of the processor {own[0]:.0f} ms" if own else ""
    print(f"{what}: {wall:.0f} ms, quickest {min(times)[0] * 1000:.0f} ms{processor}")


def main() -> None:
    """Time them all."""
    for name in SAMPLES:
        path = shipped("sample_events") / name
        report = assess([path]).to_dict()
        said(f"{name}: a report to its PDF in a new process", [_cold(json.dumps(report)) for _ in range(5)])
        said(f"{name}: debrief sheet, whole process", [_command(path) for _ in range(5)])
        talk = spoken(report, Talk())
        forms: tuple[Form, ...] = ("pdf", "png")
        for form in forms:
            warm = []
            for number in range(RUNS):
                report["event"]["unit"] = f"Ward {form} {number}"
                wall, own = time.perf_counter(), time.process_time()
                sheet(report, spoken=talk, form=form)
                warm.append((time.perf_counter() - wall, time.process_time() - own))
            said(f"{name}: {form} warm", warm[1:])


def _cold(report: str) -> tuple[float, ...]:
    command = [sys.executable, "-c", COLD]
    done = subprocess.run(command, input=report, text=True, capture_output=True, check=True)
    return tuple(map(float, done.stdout.split()))


def _command(path: Path) -> tuple[float, ...]:
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "debrief", "sheet", str(path), "-o", f"{folder}/sheet.pdf"]
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        return (time.perf_counter() - start,)


if __name__ == "__main__":
    main()
