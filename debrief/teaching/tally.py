"""What was left out of a teaching copy: counted, never shown."""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from math import isfinite

ANY_ITEM = "A-R"
"""Free text may hold any of the 18."""

ITEMS = tuple("ABCDEFGHIJKLMNOPQR")
"""The items of 45 CFR 164.514(b)(2)(i), in order."""

ITEM_OF = {
    "place": "B",
    "time_zone": "B",
    "site_target": "B",
    "date": "C",
    "age_over_89": "C",
    "age_under_one": "C",
    "source_name": "M",
    "device_clock": "M",
    "event_id": "R",
    "local_reference": "R",
    "file_name": "R",
    "digest": "R",
    "mark_name": "R",
    "amount": "R",
    "length": "R",
    "note": ANY_ITEM,
    "outcome": ANY_ITEM,
    "word": ANY_ITEM,
    "sentence": ANY_ITEM,
    "problem": ANY_ITEM,
}
"""Under which item each thing falls that is left out."""


@dataclass(frozen=True)
class Removed:
    """What was left out, how often, and under which item of 45 CFR 164.514(b)(2)(i) it falls.

    ``item``: one of `ITEMS`, or `ANY_ITEM` for text; ``what``: a key of `ITEM_OF`, which
    ``teaching.removed_<what>`` says in words.
    """

    item: str
    what: str
    count: int


@dataclass
class Tally:
    """Lets through numbers and words of closed lists, and counts what it holds back."""

    counts: Counter[str] = field(default_factory=Counter)

    def drop(self, what: str, count: int = 1) -> None:
        """Count what is left out."""
        self.counts[what] += count

    def word(self, given: object, known: Collection[str], what: str = "word") -> str | None:
        """Return a word where a list knows it; else null, and counted where there was one."""
        if isinstance(given, str) and given in known:
            return given
        if given is not None:
            self.drop(what)
        return None

    def removed(self) -> tuple[Removed, ...]:
        """Return what was left out, in the order of `ITEM_OF`."""
        return tuple(
            Removed(item, what, self.counts[what]) for what, item in ITEM_OF.items() if self.counts[what]
        )


def number(value: object) -> float | None:
    """Return a number as it is, null for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        return None
    return value


def seconds(value: object) -> float:
    """Return a time or length as it is, 0 for what is no number. [s]"""
    return number(value) or 0.0
