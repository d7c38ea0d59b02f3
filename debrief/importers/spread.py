"""Marks that are spread over columns: a column for each kind of mark, or one for the time of each.

``Time | Rhythm | Shock (J) | CPR`` holds several marks a row; ``Arrest time | First CPR | ROSC time`` holds
the marks of one event a row.
"""

from collections.abc import Sequence

from debrief.importers import labels
from debrief.importers.labels import Meant
from debrief.importers.mapping import Meaning
from debrief.importers.written import parse
from debrief.words import fold

_FEWEST = 2
_MOST = 0.5
_ABOUT_TIME = {
    "time",
    "times",
    "timed",
    "of",
    "date",
    "datetime",
    "at",
    "the",
    "clock",
    "initial",
    "hh",
    "mm",
    "ss",
}
_NO_MARK = {"note", "unmapped"}
_KEPT: set[Meaning] = {"date", "event_id", "role", "note"}
"""What further columns may hold where each row is an event."""


def kind_of(heading: str) -> Meant | None:
    """Return the mark that a heading names, or null: ``Rhythm``, ``Shock``, ``CPR``."""
    meant = labels.understand(heading)
    return meant if meant.known and meant.kind not in _NO_MARK else None


def timed_kind(heading: str) -> Meant | None:
    """Return the mark whose time a column holds, or null: ``First shock time``, ``Time of ROSC``."""
    left = [word for word in fold(heading).split() if word not in _ABOUT_TIME]
    return kind_of(" ".join(left)) if left else None


def meanings_of(
    headings: Sequence[str], meanings: Sequence[Meaning], named: Sequence[bool], body: Sequence[Sequence[str]]
) -> list[Meaning]:
    """Return what columns hold, those among them that hold marks or the times of marks known as such.

    Parameters
    ----------
    headings
        Without their units.
    meanings, named
        What each column was taken for, and whether its heading says so.
    body
        The first rows as text.
    """
    columns = range(len(headings))
    kinds = {at for at in columns if kind_of(headings[at])}
    if any(meanings[at] == "mark" and named[at] and at not in kinds for at in columns):
        return list(meanings)
    filled = [[row[at] for row in body if at < len(row) and row[at]] for at in columns]
    times = {at: _share_of_times(filled[at]) for at in columns if timed_kind(headings[at])}
    if sum(share > _MOST for share in times.values()) >= _FEWEST:
        timed = {at for at, share in times.items() if share or not filled[at]}
        return [
            "mark_time" if at in timed else meanings[at] if meanings[at] in _KEPT else "ignored"
            for at in columns
        ]
    kinds = {at for at in kinds if filled[at]}
    told = any(meanings[at] in ("mark", "detail") for at in columns)
    if len(kinds) < (_FEWEST if told else 1) or not any(
        meanings[at] == "time" and at not in kinds for at in columns
    ):
        return list(meanings)
    return ["marks" if at in kinds else meanings[at] for at in columns]


def _share_of_times(texts: Sequence[str]) -> float:
    found = [parse(text) for text in texts]
    return sum(one is not None and not one.plain for one in found) / len(found) if found else 0.0
