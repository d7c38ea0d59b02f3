"""A report as pandas tables, for notebooks and for further work."""

import pandas as pd

from debrief.model.contract import Report

LISTS = ("figures", "occurrences", "episodes", "pauses", "shocks", "doses", "by_minute", "problems")


def frames(report: Report) -> dict[str, pd.DataFrame]:
    """Return each list of a report as a table, ``event_id`` in front; times in seconds from time zero.

    ``figures`` has one row a figure, its index the figure's name, so that
    ``frames(report)["figures"].loc["longest_pause", "value"]`` is the value. A figure's target stands in
    columns of its own (``target_rule``, ``target_citation`` and so on).
    """
    event_id = report["event"]["event_id"]
    tables = {}
    for name in LISTS:
        table = pd.json_normalize(report[name], sep="_", max_level=1)  # type: ignore[literal-required]
        table.insert(0, "event_id", event_id)
        tables[name] = table
    tables["figures"] = tables["figures"].drop(columns="target", errors="ignore").set_index("name")
    return tables
