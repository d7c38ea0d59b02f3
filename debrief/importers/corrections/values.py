"""What a change can say of a mark: the columns of the marks table that it may set, and what they can hold."""

import math
import re
from collections.abc import Callable, Iterable, Mapping

from debrief.errors import BadSetting
from debrief.importers import amounts
from debrief.importers.labels import close_details
from debrief.importers.written import parse
from debrief.words import CAUSES, DETAILS, DRUGS, KINDS, RHYTHMS, say

Value = str | float | None
Values = Mapping[str, Value]
"""By column, as written into a line: ``time`` as the source's clock would write it, ``length`` in seconds."""

GROUPS: dict[str, tuple[str, ...]] = {
    "time": ("time",),
    "kind": ("kind", "detail"),
    "amount": ("amount", "unit"),
    "route": ("route",),
    "length": ("length",),
    "note": ("note",),
    "role": ("role",),
}
"""What is changed at one go: a kind never without its detail, an amount never without its unit."""
COLUMNS = tuple(column for columns in GROUPS.values() for column in columns)
AMENDED = ("amount", "route", "length", "note", "role")

MOST_LETTERS = 500
"""How long a text may be."""
MOST_S = 86_400.0
"""How long something may last. [s]"""


def details_of(kind: str) -> tuple[str, ...] | None:
    """Return the names that the detail of a kind can hold; null where any text will do."""
    family = KINDS[kind].detail
    known: dict[str, Iterable[str]] = {"rhythm": RHYTHMS, "drug": DRUGS, "cause": CAUSES, "": ()}
    return None if family == "free" else tuple(known[family] if family in known else DETAILS[family])


def checked(values: Values) -> dict[str, Value]:
    """Return values as a line may have them, whole groups of them.

    Raises
    ------
    BadSetting
        Where one cannot be: which, what was read, what to write.
    """
    found = dict(values)
    for columns in GROUPS.values():
        if any(column in found for column in columns):
            found |= {column: found.get(column) for column in columns}
    for column, value in found.items():
        if column not in _CHECKS:
            raise BadSetting(say("corrections.bad_column", read=column, known=", ".join(COLUMNS)))
        if value is None and column not in ("kind", "time"):
            continue
        if not _CHECKS[column](value):
            raise _refused(column, value)
    if "kind" in found:
        _check_detail(str(found["kind"]), found["detail"])
    return found


def _check_detail(kind: str, detail: Value) -> None:
    known = details_of(kind)
    if detail is None or known is None or detail in known:
        return
    if KINDS[kind].detail == "drug":  # a drug that no list has is a drug all the same
        return
    near = ", ".join(close_details(kind, str(detail)) or known) or say("corrections.no_detail")
    raise BadSetting(say("corrections.bad_detail", kind=kind, read=detail, known=near))


def _refused(column: str, value: Value) -> BadSetting:
    return BadSetting(say(f"corrections.bad_{column}", read=value, example="14:06:30"))


def _is_number(most: float) -> Callable[[object], bool]:
    def check(value: object) -> bool:
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        return is_number and math.isfinite(value) and 0 <= value <= most  # type: ignore[operator,arg-type]

    return check


def _is_text(value: object) -> bool:
    return isinstance(value, str) and 0 < len(value) <= MOST_LETTERS and value.isprintable()


_CHECKS: dict[str, Callable[[object], bool]] = {
    "time": lambda value: isinstance(value, str) and parse(value) is not None,
    "kind": lambda value: isinstance(value, str) and value in KINDS,
    "detail": _is_text,
    "amount": _is_number(1e9),
    "unit": _is_text,
    "route": lambda value: value in DETAILS["route"],
    "length": _is_number(MOST_S),
    "note": _is_text,
    "role": _is_text,
}


def typed(texts: Mapping[str, str]) -> dict[str, Value]:
    """Return what was typed into fields as values: numbers as numbers, nothing as null.

    Raises
    ------
    BadSetting
        Where a number cannot be read.
    """
    found: dict[str, Value] = {}
    for column, text in texts.items():
        given = re.sub(r"\s+", " ", text).strip()
        if not given:
            found[column] = None
        elif column in ("amount", "length"):
            if not re.fullmatch(r"-?\d{1,12}([.,]\d{1,9})?", given):
                raise _refused(column, given)
            found[column] = amounts.number(given.replace(",", "."))
        else:
            found[column] = given
    return found
