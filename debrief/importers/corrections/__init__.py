"""What a reviewer changed, kept beside the files and never in them.

``corrections.jsonl`` holds lines that are only ever added: changes, and undos and redos that name them
(`lines`). What stands after all of them, `folding` says; `tying` finds the marks again; `applying` puts them
into an event as it is read; `writing` is what a page or a program calls.
"""

from debrief.importers.corrections.folding import standing, to_redo, to_undo
from debrief.importers.corrections.lines import (
    ACTIONS,
    ADDED_ID,
    CORRECTIONS,
    OF_PAIRS,
    ROLES,
    Action,
    Correction,
    append,
    read,
)
from debrief.importers.corrections.values import GROUPS

ADDED = "added.csv"
"""A source in the form of ``marks.csv`` with times on the reference clock, as earlier versions kept what was
added. It is read and no more written."""

__all__ = [
    "ACTIONS", "ADDED", "ADDED_ID", "CORRECTIONS", "GROUPS", "OF_PAIRS", "ROLES", "Action", "Correction",
    "append", "read", "standing", "to_redo", "to_undo",
]  # fmt: skip
