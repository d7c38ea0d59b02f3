"""How long files take to read, and how much memory: 15,000 rows, and 2,000,000 rows as a stream.

Run ``python -m tests.benchmarks.importing``. Prints the best of some runs; a reading of a busy machine is no
verdict. The files are made here: single compressions with depth and length, the times of a device.
"""

import json
import random
import subprocess
import sys
import tempfile
from pathlib import Path

SMALL, LARGE = 15_000, 2_000_000
RUNS = 7
READ = (
    "import sys, time, resource; from pathlib import Path; "
    "from debrief.importers import opening, read_event; "
    "path = Path(sys.argv[1]); runs = int(sys.argv[2]); took = []\n"
    "for _ in range(runs):\n"
    "    opening._read_once.cache_clear(); start = time.perf_counter(); event = read_event([path])\n"
    "    took.append(time.perf_counter() - start)\n"
    "print(min(took), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024, len(event.marks))"
)


def made(path: Path, rows: int, times: str, decimals: int) -> Path:
    """Write a file of single compressions; ``decimals`` of the depth decide how many cells are alike."""
    draw = random.Random(1)
    with path.open("w", encoding="utf-8") as file:
        lines = path.suffix == ".jsonl"
        file.write("" if lines else "time,mark,detail,depth_mm,duration (s)\n")
        for row in range(rows):
            at_ms = round(row * 540 * min(1, 100_000 / rows)) + 36_000_000
            hour, minute, second_ms = at_ms // 3_600_000 % 24, at_ms // 60_000 % 60, at_ms % 60_000
            clock = f"{hour:02}:{minute:02}:{second_ms // 1000:02}.{second_ms % 1000:03}"
            when = clock if times == "clock" else f"{(at_ms - 36_000_000) / 1000:.3f}"
            depth = f"{draw.uniform(40, 65):.{decimals}f}"
            recoil, length = draw.choice(("released", "leaning")), f"{draw.uniform(0.2, 0.3):.2f}"
            if lines:
                item = {"time": when, "mark": "compression", "detail": recoil, "depth_mm": float(depth)}
                file.write(json.dumps(item) + "\n")
            else:
                file.write(f"{when},compression,{recoil},{depth},{length}\n")
    return path


def read(path: Path, runs: int) -> str:
    """Read a file in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", READ, str(path), str(runs)], capture_output=True, text=True, check=True
    )
    seconds, memory_mb, rows = done.stdout.split()
    return f"{float(seconds):8.3f} s  {memory_mb:>6} MB  {int(rows):>9} rows"


def main() -> None:
    """Print a line a file."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        for name, times, decimals in (
            ("clock.csv", "clock", 1),
            ("elapsed.csv", "elapsed", 1),
            ("finest.csv", "clock", 6),
            ("lines.jsonl", "clock", 1),
        ):
            print(f"{name:12}", read(made(home / name, SMALL, times, decimals), RUNS))
        for name, decimals in (("large.csv", 1), ("large_finest.csv", 6)):
            path = made(home / name, LARGE, "clock", decimals)
            print(f"{name:18}", read(path, 1), f"({path.stat().st_size // 1_000_000} MB)")


if __name__ == "__main__":
    main()
