"""What measuring many events costs, as measured: the numbers and tables of a page of the guide."""

import tomllib
from collections.abc import Sequence
from pathlib import Path

from debrief.words import say

_KEYS = ("events", "seconds", "processor_s", "memory_gb", "marks_gb", "working_gb", "figures_gb")
_GROW = ("seconds", "processor_s", "marks_gb", "working_gb", "figures_gb")
"""What grows with the number of events."""


def table(lines: Sequence[Sequence[str]]) -> str:
    """Return rows of cells as a table in Markdown."""
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)


def numbers() -> dict[str, str]:
    """Return the blanks of the page on many events."""
    measured = tomllib.loads((Path(__file__).parent / "many_table.toml").read_text(encoding="utf-8"))
    rows = measured["rows"]
    largest = max((row for row in rows if row["engine"] == "local"), key=lambda row: row["events"])
    times = 1_000_000 / largest["events"]
    head = [say("guide.many.engine"), *(say(f"guide.many.{key}") for key in _KEYS)]
    body = [[say(f"guide.many.{row['engine']}"), *(_cell(row.get(key)) for key in _KEYS)] for row in rows]
    million = [[say(f"guide.many.{key}"), f"{largest[key] * times:,.4g}"] for key in _GROW]
    return {
        "processors": str(measured["processors"]),
        "many_measured": table([head, *body]),
        "per_million": table([[say("guide.many.what"), say("guide.many.a_million")], *million]),
        "figures_kb": f"{largest['figures_gb'] * 1e6 / largest['events']:.2g}",
    }


def _cell(value: float | None) -> str:
    return say("guide.many.not_measured") if value is None else f"{value:,}"
