"""The list of events before it is shown: which are asked for, in which order, what of each."""

import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import Any
from urllib.parse import parse_qs, urlencode

from debrief.dashboard.event_folder import entry, entry_title
from debrief.dashboard.reports import Reports
from debrief.measures import CORE
from debrief.model.contract import Report
from debrief.registry import overview
from debrief.registry.listing import REMOVED
from debrief.registry.measuring import STATUSES
from debrief.registry.overview import Line
from debrief.registry.store import REVIEWS

AT_ONCE_S = 0.5
"""After this long events in folders are listed as far as they are measured, and the rest follows. [s]"""
MOST_SHOWN = 50
"""How many events stand on a page of the list."""
MOST_FIRST = 6
"""How many events to look at first are named."""
FIGURES = ("chest_compression_fraction", "longest_pause", "time_to_first_shock")
SORTS = ("event", "date", "population", "rhythm", "status", *FIGURES, "missing", "problems")
WAITING = "waiting"
"""The status of an event in a folder that is not measured yet."""
URGENT = ("needs_mapping", "nothing_measured", "needs_clocks", "to_check")
"""How an event stands that somebody should look at, the most urgent first."""
CHOICES = (*STATUSES, *REVIEWS, REMOVED)
"""The ways in which an event can stand."""


@dataclass(frozen=True)
class Asked:
    """What an address asks for. Empty is all; ``since`` and ``until`` are days, YYYY-MM-DD."""

    q: str = ""
    unit: str = ""
    since: str = ""
    until: str = ""
    population: str = ""
    rhythm: str = ""
    status: str = ""
    sort: str = ""
    down: str = ""
    page: str = ""

    @classmethod
    def of(cls, search: str | None) -> "Asked":
        """Read the part of an address behind the question mark; what makes no sense is left out."""
        given = parse_qs((search or "").removeprefix("?"))
        told = {one.name: given[one.name][0][:200] for one in fields(cls) if one.name in given}
        asked = cls(**told)
        return asked if asked.sort in ("", *SORTS) else replace(asked, sort="")

    def __str__(self) -> str:
        """Write it as that part of an address."""
        told = {one.name: getattr(self, one.name) for one in fields(self) if getattr(self, one.name)}
        return f"?{urlencode(told)}" if told else ""


@dataclass(frozen=True)
class Shown:
    """An event as it is shown: its figures by name as a report has them, the core figures that are missing.

    ``missing``: the name of each and why it has no value. ``said``: why nothing could be measured.
    """

    line: Line
    name: str
    figures: Mapping[str, Any] = field(default_factory=dict)
    missing: Sequence[tuple[str, str]] = ()
    said: str = ""


@dataclass(frozen=True)
class Listed:
    """A page of the list: ``count`` of ``all`` fit; ``choices`` to filter by, and how many have each."""

    rows: Sequence[Shown]
    first: Sequence[Line]
    count: int
    all: int
    start: int
    choices: Mapping[str, Mapping[str, int]]


def listed(reports: Reports, asked: Asked, patience_s: float = AT_ONCE_S) -> Listed:
    """Return the page of the list that is asked for.

    Events of the registry come from there as they were measured last, those in folders are measured here, as
    far as the time allows.

    Raises
    ------
    DebriefError
        Where the registry cannot be read.
    """
    kept = reports.shelf.kept
    lines = overview.lines(kept, removed=asked.status == REMOVED) if kept else []
    here = {line.event_id for line in lines}
    inside: list[Shown] = []
    if asked.status != REMOVED:
        names = [*reports.shelf.opened] if lines else reports.shelf.listed()
        inside = _in_folders(reports, [name for name in names if name not in here], patience_s)
    everything = [*lines, *(one.line for one in inside)]
    found = [line for line in everything if _fits(line, asked)]
    order = _order(reports, asked, found, inside)
    page = _page(asked, len(order))
    start = page * MOST_SHOWN
    shown = order[start : start + MOST_SHOWN]
    names = [line.event_id for line in shown if line.event_id in here]
    measured = overview.figures(kept, names, (*CORE, *FIGURES)) if kept else {}
    apart = {one.line.event_id: one for one in inside}
    rows = [apart.get(line.event_id) or _shown(line, measured.get(line.event_id, {})) for line in shown]
    choices = {
        name: Counter(value for line in everything if (value := getattr(line, name)))
        for name in ("unit", "population", "rhythm", "status")
    }
    return Listed(rows, _first(found), len(order), len(everything), start, choices)


def title(line: Line) -> str:
    """Return what to call an event in the list."""
    return line.unit or line.event_id


def _shown(line: Line, figures: dict[str, Any]) -> Shown:
    return Shown(line, title(line), figures, overview.missing(figures))


def _first(lines: Sequence[Line]) -> list[Line]:
    """Return the events to look at first."""
    urgent = [line for line in lines if line.status in URGENT]
    return sorted(urgent, key=lambda line: (URGENT.index(line.status), -line.to_check))[:MOST_FIRST]


def _fits(line: Line, asked: Asked) -> bool:
    for name in ("unit", "population", "rhythm", "status"):
        if (wanted := getattr(asked, name)) and getattr(line, name) != wanted:
            return False
    if (asked.since or asked.until) and not (
        line.date and asked.since <= line.date <= (asked.until or "9999")
    ):
        return False
    if not asked.q:
        return True
    shown = (line.event_id, line.date, line.unit, line.population, line.rhythm, line.status.replace("_", " "))
    text = " ".join([line.found, *(one for one in shown if one)]).casefold()
    return all(word in text for word in asked.q.casefold().split())


def _order(reports: Reports, asked: Asked, lines: list[Line], inside: Sequence[Shown]) -> list[Line]:
    """Return events in the order that is asked for; what is not known stands last in every order."""
    sort = asked.sort or "date"
    down = bool(asked.down) if asked.sort else True
    keys: dict[str, Any] = {}
    if sort in (*FIGURES, "missing"):
        name = "completeness" if sort == "missing" else sort
        keys = dict(overview.values(reports.shelf.kept, name)) if reports.shelf.kept else {}
        keys = {event_id: 1 - value for event_id, value in keys.items()} if sort == "missing" else keys
        for one in inside:
            value = one.figures.get(sort, {}).get("value")
            keys |= {one.line.event_id: len(one.missing) / len(CORE)} if sort == "missing" else {}
            keys |= {one.line.event_id: value} if sort in FIGURES and value is not None else {}
    else:
        keys = {line.event_id: key for line in lines if (key := _key(line, sort)) not in ("", None)}
    known = [line for line in lines if line.event_id in keys]
    known.sort(key=lambda line: keys[line.event_id], reverse=down)
    return [*known, *(line for line in lines if line.event_id not in keys)]


def _key(line: Line, sort: str) -> Any:  # noqa: ANN401 - of one kind for all lines
    if sort == "event":
        return title(line).casefold()
    if sort == "problems":
        return line.to_check
    if sort == "status":
        return CHOICES.index(line.status) if line.status in CHOICES else len(CHOICES)
    return getattr(line, sort)


def _page(asked: Asked, count: int) -> int:
    page = int(asked.page) if asked.page.isdecimal() and len(asked.page) < 7 else 0
    return min(page, max(count - 1, 0) // MOST_SHOWN)


def _in_folders(reports: Reports, names: Sequence[str], patience_s: float) -> list[Shown]:
    end = time.monotonic() + patience_s
    return [
        _in_folder(reports, name, reports.brief(name, only_known=time.monotonic() > end)) for name in names
    ]


def _in_folder(reports: Reports, event_id: str, report: Report | str | None) -> Shown:
    here = entry(event_id, reports.shelf.folder(event_id))
    called = str(here.settings.get("unit") or entry_title(here))
    if not isinstance(report, dict):
        status = "nothing_measured" if report else WAITING
        line = Line(event_id, None, None, None, None, status, None, 0, " ".join([called, *here.files]))
        return Shown(line, called, said=report or "")
    figures = {figure["name"]: dict(figure) for figure in report["figures"]}
    wall, rhythm = report["time_zero"]["wall"] or "", report["first_rhythm"]
    date = str(report["event"].get("date") or (wall[:10] if "-" in wall else "")) or None
    to_check = sum(one["severity"] != "note" for one in report["problems"])
    line = Line(
        event_id,
        date,
        str(here.settings.get("unit") or "") or None,
        str(report["event"].get("population") or "") or None,
        rhythm["rhythm"] if rhythm else None,
        "to_check" if to_check else "new",
        None,
        to_check,
        " ".join([called, *here.files]),
    )
    return Shown(line, called, figures, overview.missing(figures))
