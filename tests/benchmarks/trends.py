"""How long the page of trends takes over 10,000 events, and the report of a month.

Run ``python -m tests.benchmarks.trends``. Prints medians; a reading of a busy machine is no verdict.
"""

import tempfile
import time
from pathlib import Path

from debrief.dashboard.across.asked import Asked
from debrief.dashboard.pages.trends import said
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.registry.store import Registry
from debrief.reports.period import period_of, period_report
from tests.benchmarks.timing import took
from tests.cohorts.filled import fill

EVENTS = 10_000
ADDRESSES = ("", "?by=unit", "?chart=xmr", "?chart=g", "?chart=km", "?measure=any_rosc")


def main() -> None:
    """Fill a registry and time it."""
    with tempfile.TemporaryDirectory() as home, Registry(Path(home), create=True) as kept:
        fill(kept, EVENTS)
        reports = Reports(Shelf(Path(home)))
        start = time.perf_counter()
        said(reports, Asked(), 1100)
        print(f"first page {time.perf_counter() - start:.2f} s")
        for address in ADDRESSES:
            asked = Asked.of(address)
            print(f"{took(lambda asked=asked: said(reports, asked, 1100)):.2f} s  /trends{address}")
        month = period_of("2025-06", None)
        start = time.perf_counter()
        period_report(kept, month)
        print(f"{time.perf_counter() - start:.2f} s  report of a month")


if __name__ == "__main__":
    main()
