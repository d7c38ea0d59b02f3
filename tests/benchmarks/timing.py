"""Time some work: what the benchmarks share."""

import time
from collections.abc import Callable
from statistics import median

RUNS = 15


def took(work: Callable[[], object]) -> float:
    """Return the median time of some work, after one run to warm up. [s]"""
    work()
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)
