"""What measuring a dataset costs: time, memory and disk of ``measure --all``, by engine and number of events.

Run ``python -m tests.benchmarks.datasets [EVENTS] [--write FILE]``, FILE that of the guide; Linux. Processor
seconds tell of a busy machine what elapsed seconds cannot. Invented events of some 50 marks.
"""

import argparse
import datetime
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pyarrow.parquet as pq

from debrief.model.contract import DEFINITIONS
from tests.benchmarks.made_events import made


def _of_tree(pid: int) -> int:
    """Return the memory that a process and those it began hold, what they share counted once. [bytes]"""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except OSError:
        return 0
    own = sum(int(line.split()[1]) * 1024 for line in lines if line.startswith("Pss:"))
    return own + sum(_of_tree(int(child)) for child in children)


def _size(folder: Path) -> int:
    total = 0
    for path in folder.rglob("*"):
        try:
            total += path.stat().st_size
        except OSError:
            continue
    return total


def cost(path: Path, output: Path, *options: str) -> dict[str, float]:
    """Return what one run of the command costs."""
    command = [sys.executable, "-m", "debrief", "measure", "--all", str(path), "-o", str(output), *options]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    begun = time.perf_counter()
    memory = disk = 0
    with subprocess.Popen(command, stderr=subprocess.DEVNULL) as process:
        while process.poll() is None:
            memory, disk = max(memory, _of_tree(process.pid)), max(disk, _size(output))
            time.sleep(0.2)
    if process.returncode:
        raise SystemExit(f"{' '.join(command)}: exit status {process.returncode}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return {
        "seconds": time.perf_counter() - begun,
        "processor_s": after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime,
        "memory_gb": memory / 1e9,
        "marks_gb": path.stat().st_size / 1e9,
        "working_gb": disk / 1e9,
        "figures_gb": _size(output) / 1e9,
    }


def main() -> None:
    """Print the table, and write it where asked to."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("events", type=int, nargs="?", default=100_000)
    parser.add_argument("--write", type=Path)
    parser.add_argument("--spark", action="store_true", help="measure by Spark on this machine as well")
    asked = parser.parse_args()
    runs = [("local", size, ()) for size in (asked.events // 4, asked.events // 2, asked.events)]
    if asked.spark:
        runs.append(("spark", asked.events, ("--engine", "spark")))
    lines = ["# What measuring a dataset costs; written by tests/benchmarks/datasets.py."]
    lines += [f'date = "{datetime.date.today().isoformat()}"', f"definitions = {DEFINITIONS}"]  # noqa: DTZ011
    lines += [f"processors = {os.cpu_count()}"]
    with tempfile.TemporaryDirectory() as name:
        for engine, size, options in runs:
            path = Path(name) / f"{size}.parquet"
            if not path.exists():
                pq.write_table(made(size), path, row_group_size=500_000)
            found = cost(path, Path(name) / f"{engine}-{size}", *options)
            print(engine, size, {key: round(value, 3) for key, value in found.items()})
            lines += ["", "[[rows]]", f'engine = "{engine}"', f"events = {size}"]
            if engine == "spark":  # its processes are not ours, and what they took is not told
                del found["processor_s"]
            lines += [f"{key} = {value:.3g}" for key, value in found.items()]
    if asked.write:
        asked.write.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
