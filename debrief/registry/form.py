"""A flat file for a registry's form: a site says once which column holds what, and every event is a row.

The mapping is TOML. Each table is a column, in the order in which they stand::

    [columns."Min to first shock"]
    from = "figure.time_to_first_shock"     # or context.unit, fact.first_rhythm, verdict.<figure>
    unit = "min"                            # of times: s or min
    decimals = 0
    rounding = "down"                       # nearest (usual), down or up
    codes = { vf = "1", pvt = "2" }         # what stands for each value; other = "9" for all else
    missing = "99"                          # what stands for what is not known; empty without it
"""

import json
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from debrief.errors import BadSetting, NotKept
from debrief.measures import MEASURES
from debrief.model.event import FLAGS, Context
from debrief.registry import listing
from debrief.registry.store import Registry
from debrief.words import RHYTHMS, say

FORM = "form"
"""The kind under which a registry keeps forms (`Registry.named`): the mapping as text."""
FACTS = ("first_rhythm", "shockable", "population", "wall", "edition")
_UNITS = {figure.name: figure.unit for figure in MEASURES} | {"completeness": "1"}
_KEYS = (
    *(f"context.{name}" for name in Context.__dataclass_fields__),
    *(f"fact.{name}" for name in FACTS),
    *(f"{kind}.{name}" for kind in ("figure", "verdict", "low", "high") for name in _UNITS),
)
_SAID = ("from", "unit", "decimals", "rounding", "codes", "missing")
_PER = {"s": 1.0, "min": 60.0}
_ROUNDING = ("nearest", "down", "up")
_VERDICTS = ("met", "not_met", "uncertain", "no_data", "not_applicable", "no_target")
_CODED: dict[str, tuple[str, ...]] = {
    "fact.first_rhythm": tuple(name for name, rhythm in RHYTHMS.items() if rhythm.arrest),
    "fact.population": ("adult", "child", "infant", "newborn_at_birth"),
}
OTHER = "other"


@dataclass(frozen=True)
class Column:
    """A column of a form: its heading, the key that fills it, and how the value is written."""

    heading: str
    key: str
    unit: str = ""
    decimals: int | None = None
    rounding: str = "nearest"
    codes: Mapping[str, str] = field(default_factory=dict)
    missing: str = ""


def read_form(text: str, name: str) -> tuple[Column, ...]:
    """Return the columns of a form.

    Parameters
    ----------
    text, name
        The mapping, and what it is called in errors.

    Raises
    ------
    BadSetting
        Where it is no TOML, a column names no key that there is (what is near is named), or its codes leave
        out a value that can occur.
    """
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadSetting(say("form.no_toml", form=name, error=error)) from None
    columns = found.get("columns")
    if not isinstance(columns, dict) or not columns or set(found) != {"columns"}:
        raise BadSetting(say("form.no_columns", form=name))
    return tuple(_column(name, heading, row) for heading, row in columns.items())


def _column(form: str, heading: str, row: Any) -> Column:  # noqa: ANN401 - what TOML holds
    where = {"form": form, "column": heading}
    if not isinstance(row, dict) or "from" not in row:
        raise BadSetting(say("form.no_key", **where))
    if strange := [key for key in row if key not in _SAID]:
        raise BadSetting(say("form.unknown_word", **where, read=strange[0], choices=", ".join(_SAID)))
    key = str(row["from"])
    if key not in _KEYS:
        near = get_close_matches(key, _KEYS, 3, 0.4) or get_close_matches(f"figure.{key}", _KEYS, 3, 0.3)
        raise BadSetting(say("form.unknown_key", **where, read=key, near=", ".join(near or _KEYS[:3])))
    unit, rounding, decimals = row.get("unit", ""), row.get("rounding", "nearest"), row.get("decimals")
    if unit and (unit not in _PER or _unit_of(key) != "s"):
        raise BadSetting(
            say("form.bad_unit", **where, read=unit, unit=_unit_of(key) or say("trends.nothing"))
        )
    if rounding not in _ROUNDING:
        raise BadSetting(say("form.bad_rounding", **where, read=rounding, choices=", ".join(_ROUNDING)))
    if decimals is not None and (type(decimals) is not int or not 0 <= decimals <= 9):
        raise BadSetting(say("form.bad_decimals", **where, read=decimals))
    codes = {str(value): str(code) for value, code in dict(row.get("codes", {})).items()}
    lacking = [value for value in _values(key) if value not in codes]
    if codes and lacking and OTHER not in codes:
        raise BadSetting(say("form.codes_lack", **where, values=", ".join(lacking)))
    return Column(heading, key, unit, decimals, rounding, codes, str(row.get("missing", "")))


def _unit_of(key: str) -> str:
    kind, _, name = key.partition(".")
    return _UNITS[name] if kind in ("figure", "low", "high") else ""


def _values(key: str) -> tuple[str, ...]:
    """Return the values that a key can have, where they are a closed list; none where anything can stand."""
    if key in _CODED:
        return _CODED[key]
    if key.startswith("verdict."):
        return _VERDICTS
    yes_or_no = key in (*(f"context.{name}" for name in FLAGS), "fact.shockable")
    return ("yes", "no") if yes_or_no or (key.startswith("figure.") and not _unit_of(key)) else ()


def filled(registry: Registry, columns: tuple[Column, ...], **which: str | None) -> list[dict[str, str]]:
    """Return a row for each event that counts, by date; ``which``: as `listing.events` chooses.

    Events that a reviewer excluded, or said to be no arrest, are left out.
    """
    events = [
        row for row in listing.events(registry, **which) if row["status"] not in ("excluded", "not_an_arrest")
    ]
    names = [row["event_id"] for row in events]
    figures: dict[str, dict[str, Any]] = {name: {} for name in names}
    for one in listing.figures(registry, names):
        figures[one["event_id"]][one["name"]] = one
    facts = listing.facts(registry)
    rows = []
    for row in events:
        known = facts[row["event_id"]] | {"listed": row}
        rows.append(
            {one.heading: written(one, _held(one.key, known, figures[row["event_id"]])) for one in columns}
        )
    return rows


def _held(key: str, known: Mapping[str, Any], figures: Mapping[str, Any]) -> Any:  # noqa: ANN401 - any value
    kind, _, name = key.partition(".")
    if kind == "context":
        return known["listed"].get(name, known["settings"].get(name))
    if kind == "fact":
        return known["facts"].get(name)
    figure = figures.get(name)
    if figure is None:
        return None
    value = figure["value" if kind == "figure" else kind]
    return bool(value) if value is not None and kind == "figure" and figure["unit"] == "" else value


def written(column: Column, value: Any) -> str:  # noqa: ANN401 - what an event can hold
    """Return a value as its column has it."""
    if value is None:
        return column.missing
    if isinstance(value, bool):
        value = "yes" if value else "no"
    if isinstance(value, int | float):
        value = _number(column, float(value))
    text = value if isinstance(value, str) else json.dumps(value)
    return column.codes.get(text, column.codes.get(OTHER, text)) if column.codes else text


def _number(column: Column, value: float) -> str:
    value /= _PER.get(column.unit, 1.0)
    if column.decimals is None:
        return f"{value:.10g}"
    size = 10**column.decimals
    steps = round(value * size, 6)  # 0.29 * 100 is 28.999...
    whole = {"down": math.floor, "up": math.ceil}.get(column.rounding, _nearest)(steps)
    return f"{whole / size:.{column.decimals}f}"


def _nearest(value: float) -> int:
    """Return the nearest whole number; a half goes up, as in forms filled by hand."""
    return math.floor(value + 0.5)


def form_text(path: Path) -> str:
    """Return a mapping as it lies in a file.

    Raises
    ------
    NotKept
        Where it cannot be read.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise NotKept(say("form.not_read", form=path, error=error)) from None
