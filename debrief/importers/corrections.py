"""What a reviewer changed, kept beside the files and never in them: marks taken out, and marks added.

``corrections.jsonl`` holds one line a change, appended; the last one about a mark stands. ``added.csv`` is
one more source, in the form of ``marks.csv``, whose times are on the reference clock.
"""

import csv
import json
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal, get_args

from debrief import words
from debrief.errors import BadSetting

CORRECTIONS = "corrections.jsonl"
ADDED = "added.csv"
ADDED_ID = "added"
HEADINGS = ("time", "mark", "detail", "amount", "unit", "route", "length", "note")

Action = Literal["drop", "restore"]
ACTIONS: tuple[Action, ...] = get_args(Action)


@dataclass(frozen=True)
class Correction:
    """One change. ``mark`` is ``source:place``, ``at`` when it was made (ISO 8601), ``why`` the reason."""

    action: Action
    mark: str
    why: str = ""
    at: str = ""


def append(folder: Path, correction: Correction) -> None:
    """Add one change to the folder's ``corrections.jsonl``, dated now where it is not dated."""
    at = correction.at or datetime.now(UTC).isoformat(timespec="seconds")
    line = {"at": at, "action": correction.action, "mark": correction.mark, "why": correction.why}
    with (folder / CORRECTIONS).open("a", encoding="utf-8") as file:
        file.write(json.dumps(line, ensure_ascii=False) + "\n")


def read(folder: Path) -> list[Correction]:
    """Return the changes of a folder, oldest first.

    Raises
    ------
    BadSetting
        Where a line is no change; the line is named.
    """
    path = folder / CORRECTIONS
    if not path.is_file():
        return []
    found = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if not line.strip():
            continue
        try:
            row = json.loads(line)
            correction = Correction(
                row["action"], row["mark"], str(row.get("why", "")), str(row.get("at", ""))
            )
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise _refused(number, line) from error
        if correction.action not in ACTIONS or not isinstance(correction.mark, str):
            raise _refused(number, line)
        found.append(correction)
    return found


def _refused(number: int, line: str) -> BadSetting:
    return BadSetting(words.say("importing.correction_wrong", file=CORRECTIONS, line=number, read=line[:80]))


def removed(corrections: list[Correction]) -> frozenset[str]:
    """Return the marks that are out after all changes."""
    last = {correction.mark: correction.action for correction in corrections}
    return frozenset(mark for mark, action in last.items() if action == "drop")


def add_mark(folder: Path, time: str, mark: str, **values: str) -> None:
    """Add one row to the folder's ``added.csv``.

    Parameters
    ----------
    time
        As the reference source would write it: ``14:06:30``, a date and time, or seconds from its zero.
    mark
        A kind, or any word for one.
    **values
        Further columns of ``marks.csv``: detail, amount, unit, route, length, note.
    """
    path = folder / ADDED
    new = not path.is_file()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, HEADINGS, lineterminator="\n")
        if new:
            writer.writeheader()
        writer.writerow({"time": time, "mark": mark} | values)
