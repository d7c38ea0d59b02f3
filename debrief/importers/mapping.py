"""What somebody answered about one layout of file, its columns, labels and times; kept as TOML."""

import json
import os
import tomllib
from collections.abc import Mapping as Table
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Literal, get_args

from debrief import words
from debrief.errors import BadSetting
from debrief.model.event import SourceKind
from debrief.words import CAUSES, DETAILS, KINDS, RHYTHMS, fold

Meaning = Literal[
    "time",
    "date",
    "mark",
    "detail",
    "amount",
    "unit",
    "route",
    "length",
    "role",
    "note",
    "event_id",
    "marks",
    "mark_time",
    "ignored",
]
"""What a column may hold. ``marks``: marks of the kind that its heading names; ``mark_time``: their times."""

MEANINGS: tuple[Meaning, ...] = get_args(Meaning)

SEVERAL: tuple[Meaning, ...] = ("detail", "amount", "note", "marks", "mark_time", "ignored")
"""What more than one column may hold."""

_CHOICES = {
    "times": ("clock", "elapsed"),
    "dates": ("day_first", "month_first"),
    "kind": get_args(SourceKind),
}
_KEYS = ("format", "layout", "sheet", *_CHOICES, "columns", "labels")


@dataclass(frozen=True)
class Answer:
    """What a label means here. ``amount`` and ``unit`` stand in where a row gives none."""

    kind: str
    detail: str | None = None
    amount: float | None = None
    unit: str | None = None
    route: str | None = None


@dataclass(frozen=True)
class Mapping:
    """All answers for one layout. Each may be missing.

    ``columns`` maps a column's name, as ``Understanding.columns`` gives it, to what it holds; ``labels`` maps
    ``labels.key_of(label)`` to what it means. A mapping with an empty ``layout`` is for any file.
    """

    layout: str = ""
    columns: Table[str, Meaning] = field(default_factory=dict)
    labels: Table[str, Answer] = field(default_factory=dict)
    times: Literal["clock", "elapsed"] | None = None
    dates: Literal["day_first", "month_first"] | None = None
    kind: SourceKind | None = None
    sheet: str | None = None


def layout_digest(headings: list[str]) -> str:
    """Return by what a layout is known again: its headings, whatever their case and punctuation."""
    return sha256("|".join(map(fold, headings)).encode()).hexdigest()[:16]


def save(mapping: Mapping, path: Path) -> None:
    """Write a mapping as TOML, whole or not at all."""
    lines = [
        "# What the columns and labels of one kind of file mean.",
        "format = 1",
        f"layout = {_text(mapping.layout)}",
    ]
    for key in ("sheet", *_CHOICES):
        if (value := getattr(mapping, key)) is not None:
            lines.append(f"{key} = {_text(value)}")
    lines += [
        "",
        "[columns]",
        *(f"{_text(name)} = {_text(means)}" for name, means in mapping.columns.items()),
    ]
    for label, answer in mapping.labels.items():
        lines += ["", f"[labels.{_text(label)}]"]
        for key, value in vars(answer).items():
            if value is not None:
                lines.append(f"{key} = {_text(value) if isinstance(value, str) else repr(float(value))}")
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_suffix(f".{os.getpid()}.part")
    draft.write_text("\n".join(lines) + "\n", encoding="utf-8")
    draft.replace(path)


def _text(value: str) -> str:
    """Return a TOML basic string; JSON's differs from it in the delete character alone."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def load(path: Path) -> Mapping:
    """Read a mapping.

    Raises
    ------
    BadSetting
        Where the file is missing, no TOML, or says what cannot be.
    """
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BadSetting(words.say("importing.mapping_unreadable", file=path, reason=error)) from error

    def refuse(key: str, read: object, write: object) -> BadSetting:
        return BadSetting(words.say("importing.mapping_wrong", file=path, named=key, read=read, write=write))

    for key in table:
        if key not in _KEYS:
            raise refuse(key, table[key], ", ".join(_KEYS))
    for key, choices in _CHOICES.items():
        if key in table and table[key] not in choices:
            raise refuse(key, table[key], " | ".join(choices))
    for key in ("layout", "sheet"):
        if not isinstance(table.get(key, ""), str):
            raise refuse(key, table[key], "text")
    for key in ("columns", "labels"):
        if not isinstance(table.get(key, {}), dict):
            raise refuse(key, table[key], f"[{key}]")
    columns, labels = table.get("columns", {}), table.get("labels", {})
    for name, meaning in columns.items():
        if meaning not in MEANINGS:
            raise refuse(f"columns.{name}", meaning, " | ".join(MEANINGS))
    given: dict[str, str] = {}
    for name, meaning in columns.items():
        if meaning not in SEVERAL and meaning in given:
            raise refuse(f"columns.{name}", meaning, f"ignored; {given[meaning]!r} holds it already")
        given[meaning] = name
    for label, row in labels.items():
        if not _is_answer(row):
            raise refuse(f"labels.{label}", row, 'kind = "shock", detail, amount, unit, route')
        known = _details_of(row["kind"])
        if known and row.get("detail") is not None and row["detail"] not in known:
            raise refuse(f"labels.{label}", row["detail"], " | ".join(known))
    rest = {key: table[key] for key in ("layout", "sheet", *_CHOICES) if key in table}
    return Mapping(columns=columns, labels={label: Answer(**row) for label, row in labels.items()}, **rest)


def _details_of(kind: str) -> tuple[str, ...]:
    """Return the details that a kind can have; nothing where it can have others."""
    family = KINDS[kind].detail
    if family == "rhythm":
        return tuple(RHYTHMS)
    return tuple(CAUSES) if family == "cause" else tuple(DETAILS.get(family, ()))


def _is_answer(row: object) -> bool:
    if (
        not isinstance(row, dict)
        or row.get("kind") not in KINDS
        or set(row) - set(Answer.__dataclass_fields__)
    ):
        return False
    texts = all(isinstance(row.get(key, ""), str) for key in ("detail", "unit", "route"))
    return (
        texts and isinstance(row.get("amount", 0.0), (int, float)) and not isinstance(row.get("amount"), bool)
    )


def remember(mapping: Mapping, folder: Path) -> Path:
    """Keep a mapping for its layout and return where."""
    path = folder / f"{mapping.layout}.toml"
    save(mapping, path)
    return path


def recall(layout: str, folder: Path) -> Mapping | None:
    """Return what was remembered for a layout, or null."""
    path = folder / f"{layout}.toml"
    return load(path) if path.is_file() else None
