"""What a reviewer does, written down: each function checks, ties and adds lines to the folder's corrections.

Nothing is written where something cannot be: the refusal says what was read and what to write.
"""

import re
import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from debrief.errors import BadSetting
from debrief.importers.corrections import folding
from debrief.importers.corrections.lines import ADDED_ID, ROLES, Action, Correction, append, read
from debrief.importers.corrections.timing import Clock, reference_of
from debrief.importers.corrections.tying import tied
from debrief.importers.corrections.values import (
    AMENDED,
    COLUMNS,
    GROUPS,
    MOST_LETTERS,
    Value,
    Values,
    checked,
)
from debrief.model.event import Event, Source
from debrief.model.times import to_s
from debrief.words import say


@dataclass(frozen=True)
class By:
    """Who makes a change, by role, and why. An unknown role is none."""

    role: str = ""
    why: str = ""

    def of(self, change: Correction) -> Correction:
        """Return a change with both."""
        why = re.sub(r"\s+", " ", self.why).strip()[:MOST_LETTERS]
        return replace(change, role=self.role if self.role in ROLES else "", why=why)


NOBODY = By()


def write(folder: Path, event: Event, changes: Iterable[Correction], by: By = NOBODY) -> None:
    """Add changes of marks, of pairs or of clocks that were made at one go, tied to what is read now."""
    append(folder, *(by.of(one) for one in tied(event, changes)))


def count(folder: Path, event: Event, marks: Sequence[str], counted: bool, by: By = NOBODY) -> None:
    """Take marks out, or put them back.

    Raises
    ------
    BadSetting
        Where there is no such mark.
    """
    for mark in marks:
        _row(event, mark)
    action: Action = "restore" if counted else "drop"
    write(folder, event, [Correction(action, mark) for mark in marks], by)


def correct(folder: Path, event: Event, mark: str, values: Values, by: By = NOBODY) -> bool:
    """Move, relabel and amend a mark, as far as values differ from what stands.

    Parameters
    ----------
    folder, event
        The event, as it was read of the folder.
    mark
        Its name.
    values
        What it is to say, by column (`values.COLUMNS`); what is not named stays.

    Returns
    -------
    bool
        Whether anything was changed.

    Raises
    ------
    BadSetting
        Where there is no such mark, or a value cannot be.
    """
    if strange := values.keys() - {*COLUMNS}:
        raise BadSetting(say("corrections.bad_column", read=min(strange), known=", ".join(COLUMNS)))
    standing_now = values_of(event, mark)
    whole = {**standing_now, **values}
    given = {name for name, columns in GROUPS.items() if {*columns} & values.keys()}
    differ = [name for name in GROUPS if name in given and any(
        whole[column] != standing_now[column] for column in GROUPS[name]
    )]  # fmt: skip
    to = checked({column: whole[column] for name in differ for column in GROUPS[name]})
    if "kind" in differ:
        checked({column: whole[column] for column in GROUPS["kind"]})
    if "time" in differ:
        source = _source(event, mark)
        check_time(event, str(to["time"]), source, _row(event, mark)["source_time"])
    steps: tuple[tuple[Action, tuple[str, ...]], ...] = (
        ("move", ("time",)), ("relabel", ("kind",)), ("amend", AMENDED),
    )  # fmt: skip
    changes = []
    for action, groups in steps:
        columns = [column for name in groups if name in differ for column in GROUPS[name]]
        if columns:
            new, old = ({column: from_[column] for column in columns} for from_ in (to, standing_now))
            changes.append(Correction(action, mark, to=new, was=old))
    write(folder, event, changes, by)
    return bool(changes)


def add(folder: Path, event: Event, values: Values, by: By = NOBODY) -> str:
    """Add a mark on the reference clock; return its name.

    Raises
    ------
    BadSetting
        Where a value cannot be, or time or kind are missing.
    """
    if not values.get("kind"):
        raise BadSetting(say("corrections.no_kind"))
    to = {column: value for column, value in checked(values).items() if value is not None}
    check_time(event, str(values.get("time") or ""), reference_of(event))
    key = secrets.token_hex(4)
    mark = f"{ADDED_ID}:{key}"
    append(folder, by.of(Correction("add", mark, to=to, key=key)))
    return mark


def set_moment(folder: Path, event: Event, name: Action, time: str | None, by: By = NOBODY) -> None:
    """Set time zero or the end (``time_zero``, ``end``) on the reference clock; null leaves it to the rule.

    Raises
    ------
    BadSetting
        Where that clock cannot write such a time.
    """
    if time is not None:
        check_time(event, time, reference_of(event))
    was = getattr(event.context, name)
    append(folder, by.of(Correction(name, to={"time": time}, was={"time": was})))


def undo(folder: Path, key: str = "", by: By = NOBODY) -> list[Correction]:
    """Take back the last changes that stand, or those of a key; return them.

    Raises
    ------
    BadSetting
        Where there are none, or those stand no more.
    """
    lines = read(folder)
    return _step(folder, "undo", [one for one in folding.standing(lines) if one.key == key] if key
                 else folding.to_undo(lines), by)  # fmt: skip


def redo(folder: Path, key: str = "", by: By = NOBODY) -> list[Correction]:
    """Bring back the changes undone last, or those of a key where these are the last; return them.

    Raises
    ------
    BadSetting
        Where there are none, or a change was made since.
    """
    last = folding.to_redo(read(folder))
    return _step(folder, "redo", [one for one in last if key in ("", one.key)], by)


def _step(folder: Path, action: Action, changes: list[Correction], by: By) -> list[Correction]:
    if not changes:
        raise BadSetting(say(f"corrections.nothing_to_{action}"))
    append(folder, by.of(Correction(action, of=changes[0].key)))
    return changes


def check_time(event: Event, text: str, source: Source, near: int | None = None) -> None:
    """Refuse a time that the clock of a source cannot write.

    Raises
    ------
    BadSetting
        Then.
    """
    if not text or Clock.of(event, source, near).read(text) is None:
        example = "72.5" if source.scale == "elapsed" else "14:06:30"
        raise BadSetting(say("corrections.bad_time", read=text, example=example))


def values_of(event: Event, mark: str) -> dict[str, Value]:
    """Return what stands of a mark, by column, as a change would set it.

    Raises
    ------
    BadSetting
        Where there is no such mark.
    """
    row = _row(event, mark)
    moved = event.corrected[mark].time_text if mark in event.corrected else None
    length = row["length"]
    own = {name: row[name] for name in ("kind", "detail", "amount", "unit", "route", "note", "role")}
    return {"time": moved or row["time_text"], "length": None if length is None else to_s(length)} | own


def _row(event: Event, mark: str) -> dict[str, Any]:
    source_id, _, place = mark.partition(":")
    pairs = zip(event.marks["source_id"].to_pylist(), event.marks["place"].to_pylist(), strict=True)
    for number, pair in enumerate(pairs):
        if pair == (source_id, place):
            return {name: event.marks[name][number].as_py() for name in event.marks.schema.names}
    raise BadSetting(say("corrections.no_mark", read=mark[:80]))


def _source(event: Event, mark: str) -> Source:
    return next(one for one in event.sources if one.source_id == mark.partition(":")[0])
