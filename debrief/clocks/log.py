"""The log of clock checks: what the clocks of devices read beside another, over months.

``clock_checks.jsonl`` holds one line a check, appended; a line that withdraws one, or lets it count again, is
appended too. A source that is called as a device on the log has that device's checks.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any
from uuid import uuid4

from debrief.clocks.readings import Reading, is_day, is_reading, read_check
from debrief.errors import BadSetting, NotKept, UnreadableFile
from debrief.model.event import ClockCheck
from debrief.model.problems import Problem
from debrief.resources import append_line, home
from debrief.words import fold, say

LOG = "clock_checks.jsonl"
AGAINST = "network time"
"""What a device is checked against where nothing else is said."""

MOST = 80
"""Letters in a label, the name of a clock or a role, at most."""


@dataclass(frozen=True)
class Entry:
    """A check as kept: of which device, by whom (a role), written down when (ISO 8601), whether it counts."""

    id: str
    device: str
    check: ClockCheck
    role: str = ""
    at: str = ""
    withdrawn: bool = False

    @cached_property
    def reading(self) -> Reading:
        """How far the clock was off; its two readings can be read, or it would not have been kept."""
        reading = read_check(self.check)
        if isinstance(reading, Problem):
            raise ValueError(reading.message)
        return reading

    @property
    def of(self) -> tuple[str, str]:
        """The device and the other clock, for comparing."""
        return fold(self.device), fold(self.check.against or "")


@dataclass(frozen=True)
class Log:
    """What the log says: its checks in the order in which they were written down, and what is wrong in it."""

    entries: tuple[Entry, ...] = ()
    errors: tuple[str, ...] = ()

    @property
    def counted(self) -> tuple[Entry, ...]:
        """The checks that nobody withdrew."""
        return tuple(entry for entry in self.entries if not entry.withdrawn)

    def by_device(self) -> list[list[Entry]]:
        """Return the checks of each device against each other clock, the earliest first, by device."""
        found: dict[tuple[str, str], list[Entry]] = {}
        for entry in self.entries:
            found.setdefault(entry.of, []).append(entry)
        return [sorted(found[of], key=lambda entry: entry.reading.at) for of in sorted(found)]


def log_path() -> Path:
    """Return where the user's log is."""
    return home() / LOG


def read_log(path: Path) -> Log:
    """Return what a log says; nothing where there is none yet. A line that is no check is named and left out.

    Raises
    ------
    UnreadableFile
        Where there is a log and the system does not give it.
    """
    try:
        lines = path.read_bytes().split(b"\n")
    except FileNotFoundError:
        return Log()
    except OSError as error:
        raise UnreadableFile(say("clock_log.unreadable", file=path, reason=error.strerror)) from None
    entries: dict[str, Entry] = {}
    errors = []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            _apply(json.loads(line), entries)
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError, BadSetting):
            read = line.decode("utf-8", "replace").strip()[:80]
            errors.append(say("clock_log.bad_line", file=path.name, line=number, read=read))
    return Log(tuple(entries.values()), tuple(errors))


def _apply(row: Mapping[str, Any], entries: dict[str, Entry]) -> None:
    """Add a line to what is known; what is wrong with it is raised."""
    at, role = str(row["at"]), str(row.get("role", ""))
    if row["action"] in ("withdraw", "restore"):
        entries[row["id"]] = replace(entries[row["id"]], withdrawn=row["action"] == "withdraw")
    elif row["action"] == "check":
        entry = new_check(
            str(row["device"]),
            ClockCheck(
                str(row["device_reads"]),
                str(row["reference_reads"]),
                str(row["date"]),
                str(row["against"]),
                row.get("then_set", False) is True,
            ),
            role,
        )
        entries.setdefault(str(row["id"]), replace(entry, id=str(row["id"]), at=at))
    else:
        raise ValueError(row["action"])


def new_check(device: str, check: ClockCheck, role: str = "") -> Entry:
    """Return a check of a device's clock that is fit to be kept.

    ``check.against`` null is network time, ``check.date`` null today.

    Raises
    ------
    BadSetting
        Where something of it cannot be: which, what was read, what to write.
    """
    device, against, role = (" ".join(text.split()) for text in (device, check.against or AGAINST, role))
    for key, text in (("device", device), ("against", against), ("role", role)):
        if len(text) > MOST or (key != "role" and not fold(text)):
            raise BadSetting(say(f"clock_log.bad_{key}", read=text[:MOST], most=MOST))
    for which, text in (("device", check.source_reads), ("reference", check.reference_reads)):
        if not is_reading(text):
            which = say(f"clock_log.which_{which}")
            raise BadSetting(say("clock_log.bad_reading", which=which, read=text[:MOST]))
    here = today()
    day = here.isoformat() if check.date is None else check.date
    latest = here + timedelta(days=1)  # somewhere it may be tomorrow already
    if not is_day(day) or day > latest.isoformat():
        raise BadSetting(say("clock_log.bad_date", read=day[:MOST], example=here.isoformat()))
    reads = check.source_reads.strip(), check.reference_reads.strip()
    return Entry("", device, ClockCheck(*reads, day, against, check.then_set), role)


def today() -> date:
    """Return the day it is here."""
    return datetime.now().astimezone().date()


def add(path: Path, entry: Entry) -> Entry:
    """Add a check to a log and return it as kept.

    Raises
    ------
    NotKept
        Where the log cannot be written.
    """
    kept = replace(entry, id=uuid4().hex[:8], at=_now())
    check = kept.check
    line = {
        "at": kept.at,
        "action": "check",
        "id": kept.id,
        "device": kept.device,
        "device_reads": check.source_reads,
        "reference_reads": check.reference_reads,
        "against": check.against,
        "date": check.date,
        "then_set": check.then_set,
        "role": kept.role,
    }
    _append(path, line)
    return kept


def withdraw(path: Path, check_id: str, *, role: str = "", restore: bool = False) -> None:
    """Let a check count no more, or again; it stays in the log.

    Raises
    ------
    BadSetting
        Where the log holds no such check.
    NotKept
        Where the log cannot be written.
    """
    if check_id not in {entry.id for entry in read_log(path).entries}:
        raise BadSetting(say("clock_log.no_such_check", read=check_id[:MOST]))
    action = "restore" if restore else "withdraw"
    _append(path, {"at": _now(), "action": action, "id": check_id, "role": role})


def checks_of(entries: Iterable[Entry]) -> dict[str, tuple[ClockCheck, ...]]:
    """Return the checks that count of each device, by its folded label."""
    checks: dict[str, list[ClockCheck]] = {}
    for entry in entries:
        if not entry.withdrawn:
            checks.setdefault(fold(entry.device), []).append(entry.check)
    return {device: tuple(found) for device, found in checks.items()}


def devices(entries: Sequence[Entry]) -> list[str]:
    """Return what the devices on a log are called, as they were last written, in order."""
    return sorted({fold(entry.device): entry.device for entry in entries}.values(), key=str.casefold)


def _append(path: Path, line: Mapping[str, Any]) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        append_line(path, json.dumps(line, ensure_ascii=False))
    except OSError as error:
        raise NotKept(say("clock_log.not_kept", file=path, reason=error.strerror or error)) from error


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")
