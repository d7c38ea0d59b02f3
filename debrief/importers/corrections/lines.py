"""A change as a line of ``corrections.jsonl``: written, and read again."""

import json
import secrets
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal, get_args

from debrief import words
from debrief.errors import BadSetting
from debrief.importers.corrections.values import AMENDED, GROUPS, Values, checked
from debrief.importers.written import parse
from debrief.model.event import Offset
from debrief.model.times import to_s, to_us
from debrief.resources import append_line

CORRECTIONS = "corrections.jsonl"
ADDED_ID = "added"
"""The source that holds the marks that a reviewer added."""

Action = Literal[
    "drop", "restore", "move", "relabel", "amend", "add", "link", "part", "undo_link", "clock",
    "time_zero", "end", "undo", "redo",
]  # fmt: skip
ACTIONS: tuple[Action, ...] = get_args(Action)
OF_PAIRS: tuple[Action, ...] = ("link", "part", "undo_link")
OF_EVENT: tuple[Action, ...] = ("time_zero", "end")
STEPS: tuple[Action, ...] = ("undo", "redo")
BY = ("accepted", "another_match", "by_hand")
ROLES = ("team_lead", "recorder", "nurse", "physician", "equipment", "quality", "educator")
"""Who can have made a change. A line may hold another word, which is then not shown."""

_TO: dict[Action, tuple[str, ...]] = {
    "move": ("time",),
    "relabel": ("kind",),
    "amend": AMENDED,
    "add": tuple(GROUPS),
}
"""The groups of columns that a change can set."""
_NEEDED: dict[Action, tuple[str, ...]] = {"move": ("time",), "relabel": ("kind",), "add": ("time", "kind")}


@dataclass(frozen=True)
class Correction:
    """One change.

    Attributes
    ----------
    action, mark, other
        What was done to ``source:place``; for ``clock`` to a source; ``other`` is the second mark of a pair.
        ``time_zero``, ``end``, ``undo`` and ``redo`` name none.
    why, at, role
        The reason; when it was made (ISO 8601); who made it, never a name.
    clock
        Where that source's clock stands, null to leave it to be found again.
    to, was
        The columns that were set (`values.COLUMNS`), and what stood in them. For ``time_zero`` and ``end``
        ``time`` alone, null to leave it to the rule.
    reads, digests
        What each mark it names read then: file, time and label, of a clock the file alone; and the digest
        of each file. Empty where nobody noted it.
    key
        What an undo names it by; changes made at one go have the same.
    of
        For ``undo`` and ``redo``: the key of the changes.
    """

    action: Action
    mark: str = ""
    why: str = ""
    at: str = ""
    other: str = ""
    clock: Offset | None = None
    role: str = ""
    reads: tuple[tuple[str, ...], ...] = ()
    digests: tuple[str, ...] = ()
    to: Values = field(default_factory=dict)
    was: Values = field(default_factory=dict)
    key: str = ""
    of: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """The marks that it names, of a clock the source."""
        return tuple(name for name in (self.mark, self.other) if name)

    @property
    def about(self) -> tuple[str, ...]:
        """What of its marks or of the event it says something about; the last line about it stands."""
        if self.action in OF_PAIRS:
            return ("pair",)
        if self.action in ("drop", "restore"):
            return ("counted",)
        if self.action in ("move", "relabel", "amend"):
            return tuple(name for name, columns in GROUPS.items() if columns[0] in self.to)
        return (self.action,)

    @property
    def takes_back(self) -> bool:
        """Whether it does nothing but take an earlier change back."""
        return self.action in ("restore", "undo_link") or (self.action == "clock" and self.clock is None)


def append(folder: Path, *changes: Correction) -> str:
    """Add changes that were made at one go, dated now where they are not dated; return their key.

    They are written whole, and the disk has them when this returns.

    Raises
    ------
    OSError
        Where the folder cannot be written.
    """
    now = datetime.now(UTC).isoformat(timespec="seconds")
    key = next((one.key for one in changes if one.key), "") or secrets.token_hex(4)
    lines = [_line(replace(one, at=one.at or now, key=key)) for one in changes]
    if lines:
        append_line(folder / CORRECTIONS, "\n".join(json.dumps(line, ensure_ascii=False) for line in lines))
    return key


def _line(one: Correction) -> dict[str, Any]:
    line: dict[str, Any] = {"at": one.at, "action": one.action, "key": one.key}
    for name in ("mark", "other", "of", "role", "why"):
        if value := getattr(one, name):
            line[name] = value
    if one.action == "clock":
        clock = one.clock
        line["clock"] = clock and {
            "by": clock.by,
            **{key: to_s(getattr(clock, key)) for key in ("offset", "low", "high")},
        }
    if one.was:
        line["from"] = one.was
    if one.to:
        line["to"] = one.to
    if one.reads:
        line["reads"] = one.reads
    if any(one.digests):
        line["digests"] = one.digests
    return line


def read(folder: Path) -> list[Correction]:
    """Return the lines of a folder, oldest first. A last one that was cut off is left out.

    Raises
    ------
    BadSetting
        Where a line is no change; the line is named.
    """
    path = folder / CORRECTIONS
    if not path.is_file():
        return []
    found = []
    content = path.read_bytes().removeprefix(b"\xef\xbb\xbf")
    lines = content.split(b"\n")
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            found.append(_correction(json.loads(line), sha256(line.strip()).hexdigest()[:8]))
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError, BadSetting) as error:
            if number == len(lines):
                break
            raise _refused(number, line, error) from error
    return found


def _refused(number: int, line: bytes, error: Exception) -> BadSetting:
    text = line.decode("utf-8", "replace")[:80]
    key = "corrections.line_says" if isinstance(error, BadSetting) else "corrections.line_wrong"
    return BadSetting(words.say(key, file=CORRECTIONS, line=number, read=text, reason=error))


def _correction(row: dict[str, Any], digest: str) -> Correction:
    """Return one change as read; what is wrong with it is raised as Python has it."""
    action = row["action"]
    texts = {name: row.get(name, "") for name in ("mark", "other", "of", "why", "at", "role", "key")}
    if action not in ACTIONS or not all(isinstance(text, str) for text in texts.values()):
        raise ValueError(action)
    mark, other = texts["mark"], texts["other"]
    if bool(mark) == (action in (*OF_EVENT, *STEPS)) or bool(texts["of"]) != (action in STEPS):
        raise ValueError(mark)
    if bool(other) != (action in OF_PAIRS) or other == mark != "":
        raise ValueError(other)
    one = Correction(
        action,
        **texts | {"key": texts["key"] or digest},
        clock=_clock(row["clock"]) if action == "clock" else None,
        reads=tuple(tuple(map(str, each)) for each in row.get("reads", ())),
        digests=tuple(map(str, row.get("digests", ()))),
        to=_to(action, row.get("to", {})),
        was=dict(row.get("from", {})),
    )
    if one.reads and (len(one.reads) != len(one.names) or not all(one.reads)):
        raise ValueError(one.reads)
    if one.digests and len(one.digests) != len(one.names):
        raise ValueError(one.digests)
    return one


def _clock(row: dict[str, Any] | None) -> Offset | None:
    if row is None:
        return None
    offset, low, high = (to_us(row[key]) for key in ("offset", "low", "high"))
    if row["by"] not in BY or not low <= offset <= high:
        raise ValueError(row)
    return Offset(offset, low, high, row["by"])


def _to(action: Action, given: dict[str, Any]) -> Values:
    """Return what a line sets."""
    if action in OF_EVENT:
        if set(given) != {"time"} or not (given["time"] is None or parse(given["time"])):
            raise ValueError(given)
        return given
    values = checked(given)
    groups = [name for name, columns in GROUPS.items() if columns[0] in values]
    allowed, needed = _TO.get(action, ()), _NEEDED.get(action, ())
    if {*groups} - {*allowed} or {*needed} - {*groups} or (action in _TO and not groups):
        raise ValueError(given)
    return values
