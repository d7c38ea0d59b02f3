"""Figures as CSV: one row a figure, with the columns that the figure has in JSON."""

import csv
import io
import json
from collections.abc import Sequence

from debrief.model.contract import Report


def figures_csv(reports: Sequence[Report]) -> str:
    """Return the figures of events as CSV, the event's id before each; what is no number or text is JSON."""
    text = io.StringIO()
    columns = ["event_id", *reports[0]["figures"][0]]
    table = csv.DictWriter(text, columns, lineterminator="\n")
    table.writeheader()
    for report in reports:
        for figure in report["figures"]:
            cells = {name: _cell(value) for name, value in figure.items()}
            table.writerow({"event_id": report["event"].get("event_id"), **cells})
    return text.getvalue().removesuffix("\n")


def _cell(value: object) -> object:
    """Return a value as a cell: text and numbers as they are, null empty, all else as JSON."""
    if value is None or (isinstance(value, str | int | float) and not isinstance(value, bool)):
        return value
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
