"""How long many events take: all figures from Parquet, memory, linearity, and the same in other engines.

Run ``python -m tests.benchmarks.many_events [EVENTS]``. Each measurement is a process of its own; ratios are
taken in one run, since machines are noisy. Only one thread each where engines are compared.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

import pyarrow.parquet as pq

from tests.benchmarks.made_events import made

RUNS = 3

ALL = """
import pyarrow.parquet as pq
from debrief.assess.many import COLUMNS, TEXTS, figures_of
table = pq.read_table({path!r}, columns=[*COLUMNS], read_dictionary=[*TEXTS])
work = lambda: figures_of(table)
"""

OURS = """
import pyarrow as pa, pyarrow.parquet as pq
pa.set_cpu_count(1); pa.set_io_thread_count(1)
from debrief.assess.many import COLUMNS, TEXTS, figures_of
names = ("chest_compression_fraction", "epinephrine_interval_median")
def work():
    table = pq.read_table({path!r}, columns=[*COLUMNS], read_dictionary=[*TEXTS], use_threads=False)
    return figures_of(table, only=names)
"""

SQL = """
import duckdb
from tests.benchmarks.by_hand import sql
connection = duckdb.connect(); connection.execute("set threads = 1")
work = lambda: connection.sql(sql({path!r})).to_arrow_table()
"""

APPLY = """
import pandas as pd
from tests.benchmarks.by_hand import one_event
frame = pd.read_parquet({path!r}, columns=["event_id", "time", "kind", "detail"])
work = lambda: frame.groupby("event_id").apply(one_event)
"""

TIMED = """
import resource, time
{setup}
start = time.perf_counter(); work(); print(time.perf_counter() - start)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6)
"""


def timed(setup: str, path: Path) -> tuple[float, float]:
    """Return how long some work took [s] and the most memory its process held [GB]."""
    code = TIMED.format(setup=setup.format(path=str(path)))
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ
    )
    seconds, gigabytes = map(float, done.stdout.split()[-2:])
    return seconds, gigabytes


def main() -> None:
    """Print all of it."""
    events = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as folder:
        per_mark = []
        for size in (events // 4, events // 2, events):
            path = Path(folder) / f"{size}.parquet"
            table = made(size)
            pq.write_table(table, path, row_group_size=500_000)
            seconds, gigabytes = timed(ALL, path)
            per_mark.append(seconds / len(table))
            print(f"{size:8} events, {len(table):8} marks: all figures {seconds:6.2f} s, {gigabytes:4.2f} GB")
        print(
            f"linear: time a mark at the largest is {per_mark[-1] / per_mark[0]:.2f} of that at the smallest"
        )
        ratios = [timed(OURS, path)[0] / timed(SQL, path)[0] for _ in range(RUNS)]
        print(f"two figures, file to table, one thread: {median(ratios):.2f} of the time of SQL by hand")
        small = Path(folder) / "small.parquet"
        pq.write_table(made(events // 50), small)
        ratio = timed(APPLY, small)[0] / timed(OURS, small)[0]
        print(f"a function for each event, {events // 50} events: {ratio:.0f} times as long as ours")


if __name__ == "__main__":
    main()
