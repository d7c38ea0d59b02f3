"""What a reviewer changed, kept beside the files and never in them.

``corrections.jsonl`` holds one line a change, appended; the last one about a mark, a pair of marks or a
source's clock stands. ``added.csv`` is one more source, in the form of ``marks.csv``, whose times are on the
reference clock.
"""

import csv
import json
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal, get_args

from debrief import words
from debrief.errors import BadSetting
from debrief.model.event import Offset
from debrief.model.times import to_s, to_us

CORRECTIONS = "corrections.jsonl"
ADDED = "added.csv"
ADDED_ID = "added"
HEADINGS = ("time", "mark", "detail", "amount", "unit", "route", "length", "note")

Action = Literal["drop", "restore", "link", "part", "undo_link", "clock"]
ACTIONS: tuple[Action, ...] = get_args(Action)
BY = ("accepted", "another_match", "by_hand")
OF_PAIRS: tuple[Action, ...] = ("link", "part", "undo_link")


@dataclass(frozen=True)
class Correction:
    """One change.

    ``mark`` is ``source:place``, for ``clock`` a source; ``other`` the second mark of a pair; ``clock`` where
    that source's clock stands, null to leave it to be found again; ``at`` when it was made (ISO 8601);
    ``role`` who made it, never a name; ``reads`` what each mark it names read then: file, time and label, of
    a clock the file alone; empty where nobody noted it.
    """

    action: Action
    mark: str
    why: str = ""
    at: str = ""
    other: str = ""
    clock: Offset | None = None
    role: str = ""
    reads: tuple[tuple[str, ...], ...] = ()


def append(folder: Path, correction: Correction) -> None:
    """Add one change to the folder's ``corrections.jsonl``, dated now where it is not dated."""
    at = correction.at or datetime.now(UTC).isoformat(timespec="seconds")
    line: dict[str, Any] = {"at": at, "action": correction.action, "mark": correction.mark}
    if correction.action in OF_PAIRS:
        line["other"] = correction.other
    if correction.action == "clock":
        clock = correction.clock
        line["clock"] = clock and {
            "by": clock.by,
            **{key: to_s(getattr(clock, key)) for key in ("offset", "low", "high")},
        }
    if correction.role:
        line["role"] = correction.role
    if correction.reads:
        line["reads"] = correction.reads
    line["why"] = correction.why
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
            found.append(_correction(json.loads(line)))
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise _refused(number, line) from error
    return found


def _correction(row: dict[str, Any]) -> Correction:
    """Return one change as read; what is wrong with it is raised as Python has it."""
    action, mark, other = row["action"], row["mark"], row.get("other", "")
    if action not in ACTIONS or not isinstance(mark, str) or not isinstance(other, str):
        raise ValueError(action)
    clock = None
    if action in OF_PAIRS and other in ("", mark):
        raise ValueError(other)
    if action == "clock" and row["clock"] is not None:
        offset, low, high = (to_us(row["clock"][key]) for key in ("offset", "low", "high"))
        if row["clock"]["by"] not in BY or not low <= offset <= high:
            raise ValueError(row["clock"])
        clock = Offset(offset, low, high, row["clock"]["by"])
    why, at, role = (str(row.get(key, "")) for key in ("why", "at", "role"))
    reads = tuple(tuple(map(str, each)) for each in row.get("reads", ()))
    if reads and (len(reads) != 1 + bool(other) or not all(reads)):
        raise ValueError(reads)
    return Correction(action, mark, why, at, other, clock, role, reads)


def _refused(number: int, line: str) -> BadSetting:
    return BadSetting(words.say("importing.correction_wrong", file=CORRECTIONS, line=number, read=line[:80]))


def removed(corrections: list[Correction]) -> frozenset[str]:
    """Return the marks that are out after all changes."""
    about = (one for one in corrections if one.action in ("drop", "restore"))
    last = {correction.mark: correction.action for correction in about}
    return frozenset(mark for mark, action in last.items() if action == "drop")


def pairs(corrections: list[Correction], action: Literal["link", "part"]) -> frozenset[tuple[str, str]]:
    """Return the pairs of marks that are linked, or parted, after all changes; each in order of its names.

    Of a mark that was taken out nothing more is said.
    """
    about = (one for one in corrections if one.action in OF_PAIRS)
    last = {(min(one.mark, one.other), max(one.mark, one.other)): one.action for one in about}
    out = removed(corrections)
    return frozenset(pair for pair, stands in last.items() if stands == action and not out & {*pair})


def clocks(corrections: list[Correction]) -> dict[str, Offset]:
    """Return where a reviewer says that clocks stand, by source, after all changes."""
    last = {one.mark: one.clock for one in corrections if one.action == "clock"}
    return {source_id: clock for source_id, clock in last.items() if clock is not None}


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
