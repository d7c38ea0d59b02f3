"""Event folders: what event.json says of an event and its sources, checked key by key."""

import datetime as dt
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, Literal, get_args
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from debrief import words
from debrief.errors import BadSetting
from debrief.importers.corrections import ADDED, CORRECTIONS
from debrief.importers.notices import Notice, notice
from debrief.model.event import CATEGORIES, FLAGS, WEIGHTS_KG, ClockCheck, Context, Offset, SourceKind
from debrief.model.times import to_us
from debrief.words import POPULATIONS, RHYTHMS

EVENT_JSON = "event.json"
TALK = "talk.jsonl"
"""What is kept of the team's talk. It tells nothing of what happened, so that no figure depends on it."""
TYPING = "typing.json"
"""The rows of a typed sheet as they were typed, to go on with; what is read of them is a file of its own."""
PICTURES = tuple(f"sheet.{ending}" for ending in ("png", "jpg", "webp", "pdf"))
"""The picture of a paper sheet, to look at while it is typed."""
NOT_READ = (TALK, TYPING, *PICTURES)
"""What may stand in an event folder and is never read for what happened."""


@dataclass(frozen=True)
class Sitting:
    """One source as event.json names it. Null: nothing is said."""

    path: Path
    file: str
    name: str | None = None
    kind: SourceKind | None = None
    importer: str | None = None
    times: Literal["clock", "elapsed"] | None = None
    date: dt.date | None = None
    rounding: Literal["down", "nearest", "unknown"] | None = None
    clock: Offset | None = None
    checks: tuple[ClockCheck, ...] = ()
    device: str | None = None
    only: str | None = None


@dataclass(frozen=True)
class Plan:
    """An event before its files are read. ``listed`` is false where event.json names no sources."""

    context: Context
    sittings: tuple[Sitting, ...]
    listed: bool
    notices: tuple[Notice, ...] = field(default=())


Check = Callable[[Any], bool]


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _is_file_name(value: object) -> bool:
    return isinstance(value, str) and bool(value) and "\0" not in value


def _is_flag(value: object) -> bool:
    return isinstance(value, bool)


def _is_date(value: object) -> bool:
    try:
        return isinstance(value, str) and len(value) == 10 and bool(dt.date.fromisoformat(value))
    except ValueError:
        return False


def _is_zone(value: object) -> bool:
    try:
        return isinstance(value, str) and bool(ZoneInfo(value))
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False


def _one_of(choices: tuple[str, ...]) -> tuple[Check, str]:
    return lambda value: value in choices, " | ".join(choices)


def _is_clock(value: object) -> bool:
    if not isinstance(value, dict) or "offset" not in value or set(value) - {"offset", "low", "high"}:
        return False
    if not all(_is_number(each) for each in value.values()):
        return False
    return bool(value.get("low", value["offset"]) <= value["offset"] <= value.get("high", value["offset"]))


def _is_check(value: object) -> bool:
    if not isinstance(value, dict) or set(value) - {each.name for each in fields(ClockCheck)}:
        return False
    both = (value.get("source_reads"), value.get("reference_reads"))
    date, against = value.get("date"), value.get("against")
    return (
        all(map(_is_text, both))
        and (date is None or _is_date(date))
        and (against is None or _is_text(against))
        and _is_flag(value.get("then_set", False))
    )


_TEXT = (_is_text, '"text"')
_KEYS: dict[str, tuple[Check, str]] = {
    "format": (lambda value: value == 1 and not isinstance(value, bool), "1"),
    "event_id": _TEXT,
    "population": _one_of(POPULATIONS),
    "age_years": (lambda value: _is_number(value) and value >= 0, "64"),
    "weight_kg": (_is_number, "82"),
    "date": (_is_date, '"2026-03-04"'),
    "time_zone": (_is_zone, '"Europe/Dublin"'),
    "setting": _TEXT,
    "unit": _TEXT,
    **dict.fromkeys(FLAGS, (_is_flag, "true | false")),
    "first_rhythm": _one_of(tuple(RHYTHMS)),
    "outcome": _TEXT,
    "cerebral_performance": (
        lambda value: isinstance(value, int) and not isinstance(value, bool) and value in CATEGORIES,
        " | ".join(map(str, CATEGORIES)),
    ),
    "local_reference": _TEXT,
    "reference": _TEXT,
    "time_zero": _TEXT,
    "end": _TEXT,
    "sources": (
        lambda value: isinstance(value, list) and all(isinstance(each, dict) for each in value),
        '[{"file": "log.csv"}]',
    ),
}
_SOURCE_KEYS: dict[str, tuple[Check, str]] = {
    "file": (_is_file_name, '"log.csv"'),
    "name": _TEXT,
    "device": _TEXT,
    "kind": _one_of(get_args(SourceKind)),
    "importer": _TEXT,
    "only": _TEXT,
    "times": _one_of(("clock", "elapsed")),
    "date": (_is_date, '"2026-03-04"'),
    "rounding": _one_of(("down", "nearest", "unknown")),
    "clock": (_is_clock, '{"offset": -95, "low": -110, "high": -80}'),
    "clock_checks": (
        lambda value: isinstance(value, list) and all(_is_check(each) for each in value),
        '[{"source_reads": "14:03:20", "reference_reads": "14:05:02", "date": "2026-03-04"}]',
    ),
}


_ABOUT = frozenset(_KEYS) - {"format", "sources"}


def plan(folder: Path) -> Plan:
    """Return what the event.json of a folder says; without one, all files of the folder are its sources.

    Raises
    ------
    BadSetting
        Where event.json is no JSON, or a key says what cannot be: the key, what was read, what to write.
    """
    path = folder / EVENT_JSON
    table = _table(path) if path.is_file() else {}
    notices: list[Notice] = []
    _check(table, _KEYS, "", notices)
    for number, row in enumerate(table.get("sources") or []):
        _check(row, _SOURCE_KEYS, f"sources[{number}].", notices)
        if "file" not in row:
            raise _wrong(f"sources[{number}].file", "nothing", '"log.csv"')
    listed = table.get("sources") is not None
    sittings = [_sitting(folder, row) for row in table["sources"]] if listed else _beside(folder)
    known = {key: value for key, value in table.items() if key in _ABOUT and value is not None}
    context = Context(**({"event_id": folder.resolve().name} | _plausible(known, EVENT_JSON, notices)))
    return Plan(context, tuple(sittings), listed, tuple(notices))


def about_event(table: Mapping[str, Any], file: str) -> tuple[dict[str, Any], list[Notice]]:
    """Return what a file of marks says of its event, by the keys of event.json, and what is odd about it.

    Raises
    ------
    BadSetting
        As ``plan``.
    """
    notices: list[Notice] = []
    _check(table, _KEYS, "", notices, file)
    known = {key: value for key, value in table.items() if key in _ABOUT and value is not None}
    return _plausible(known, file, notices), notices


def _plausible(known: dict[str, Any], file: str, notices: list[Notice]) -> dict[str, Any]:
    """Return what is known without a weight that nobody has."""
    low, high = WEIGHTS_KG
    weight_kg = known.get("weight_kg")
    if weight_kg is None or low <= weight_kg <= high:
        return known
    told = notice("weight_absurd", file, read=f"{weight_kg:g}", low=f"{low:g}", high=f"{high:g}")
    notices.append(told)
    return {key: value for key, value in known.items() if key != "weight_kg"}


def _table(path: Path) -> dict[str, Any]:
    try:
        table = json.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError) as error:
        raise BadSetting(words.say("importing.event_json_unreadable", file=path, reason=error)) from error
    if not isinstance(table, dict):
        raise _wrong("(the whole file)", type(table).__name__, '{"event_id": "bay-4"}')
    return table


def _check(
    table: Mapping[str, Any],
    keys: dict[str, tuple[Check, str]],
    before: str,
    notices: list[Notice],
    file: str = EVENT_JSON,
) -> None:
    for key, value in table.items():
        if key not in keys:
            notices.append(notice("unknown_key", file=file, key=before + key, known=", ".join(keys)))
        elif value is not None and not keys[key][0](value):
            raise _wrong(before + key, json.dumps(value, ensure_ascii=False)[:60], keys[key][1], file)


def _wrong(key: str, read: str, write: str, file: str = EVENT_JSON) -> BadSetting:
    return BadSetting(words.say("importing.event_json_wrong", file=file, named=key, read=read, write=write))


def _sitting(folder: Path, row: dict[str, Any]) -> Sitting:
    clock = row.get("clock")
    offset = None
    if clock:
        at = clock["offset"]
        offset = Offset(to_us(at), to_us(clock.get("low", at)), to_us(clock.get("high", at)))
    return Sitting(
        path=folder / row["file"],
        file=row["file"],
        name=row.get("name"),
        kind=row.get("kind"),
        importer=row.get("importer"),
        only=row.get("only"),
        times=row.get("times"),
        date=dt.date.fromisoformat(row["date"]) if row.get("date") else None,
        rounding=row.get("rounding"),
        clock=offset,
        device=row.get("device"),
        checks=tuple(ClockCheck(**each) for each in row.get("clock_checks") or ()),
    )


def _beside(folder: Path) -> list[Sitting]:
    """Return every file of a folder but the ones that are about the event, and hidden ones."""
    kept = [path for path in sorted(folder.iterdir()) if path.is_file() and not path.name.startswith(".")]
    about_it = (EVENT_JSON, CORRECTIONS, ADDED, *NOT_READ)
    return [Sitting(path, path.name) for path in kept if path.name not in about_it]


def inside(folder: Path, sitting: Sitting) -> bool:
    """Tell whether a source lies in its event folder, links followed."""
    return sitting.path.resolve().is_relative_to(folder.resolve())
