"""What is understood of a sheet while it is typed: it is read as files are, and measured without bounds."""

import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, cast

from debrief.assess import Asked, assess_event
from debrief.dashboard.typed.drafts import Draft, write_event
from debrief.errors import DebriefError, NothingMeasurable
from debrief.importers import Settings, read_event
from debrief.importers.typed import COLUMNS, Typed, filled, line_of, times_of
from debrief.model.columns import MISSING
from debrief.model.contract import Occurrence, Report
from debrief.model.event import Event
from debrief.model.problems import Problem
from debrief.model.times import DAY_US, HOUR_US, MINUTE_US, US, clock, to_s
from debrief.picture.captions import label_words, named
from debrief.talk.names import likely_names
from debrief.targets import Edition, load
from debrief.targets.usual import FIRST_OF_SEVERAL, Usual, usual
from debrief.words import KINDS, say, sentences

NAME_COLUMNS = (COLUMNS.index("detail"), COLUMNS.index("note"))
_UNTOLD = frozenset({"source_kind_assumed", "out_of_order", "time_unreadable"})
"""What stands beside its row in shorter words, or is known here."""
_PLACE = re.compile(r"(\d+)(?:-(\d+))?")


@dataclass
class TypedRow:
    """What is understood of one row.

    ``at`` is its time as it will be read, ``means`` what happened; ``odd`` says what is wrong or strange;
    ``family`` is what the details of its kind are; ``usual`` is what a target asks to be given.
    """

    at: str = ""
    means: str = ""
    odd: list[str] = field(default_factory=list)
    family: str = ""
    usual: Usual | None = None


@dataclass(frozen=True)
class Understood:
    """A sheet as it is understood: by the number of its row, from 0; null where nothing can be measured.

    ``told`` are problems that have no row, or none of the first.
    """

    rows: Mapping[int, TypedRow]
    told: Sequence[tuple[str, list[int]]]
    report: Report | None
    population: str


def understand(draft: Draft, remembered: Path | None, site: Path | None = None) -> Understood:
    """Read a sheet as its event will be read.

    Parameters
    ----------
    draft
        The sheet.
    remembered
        Where answers for layouts are kept.
    site
        The site's file, whose targets come first.
    """
    numbers = filled(draft.rows)
    rows = {number: TypedRow() for number in numbers}
    for number, time in zip(
        numbers, times_of([draft.rows[one][0] for one in numbers], draft.elapsed), strict=True
    ):
        rows[number].odd += _step(time)
    told: list[tuple[str, list[int]]] = []
    report = None
    population = draft.about.get("population") or "adult"
    event, problems = read_sheet(draft, remembered)
    if event is not None:
        _marks(event, numbers, rows)
        problems = event.problems
        if any(row.at and row.means for row in rows.values()):
            with suppress(NothingMeasurable):
                measured = assess_event(event, Asked(site=site, draws=0))
                report, problems = measured.to_dict(), measured.problems
                population = report["event"]["population"]
    for problem in problems:
        at = [numbers[index] for index in _indexes(problem, len(numbers))]
        if event and problem in event.problems and problem.severity != "note":
            for row in at if problem.code != "out_of_order" else ():
                rows[row].odd.append(_short(problem))
        if problem.code not in _UNTOLD:
            told.append((problem.message, at))
    for number in numbers:
        rows[number].odd += _names(draft.rows[number])
    _usual(draft, event, numbers, rows, load(None, site), population)
    return Understood(rows, told, report, population)


def read_sheet(draft: Draft, remembered: Path | None) -> tuple[Event | None, Sequence[Problem]]:
    """Return the event that a sheet would become; null while there is nothing to read."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            write_event(Path(folder), "typed", draft)
            return read_event([Path(folder)], Settings(remembered=remembered)), ()
        except DebriefError:
            return None, ()


def _step(time: Typed) -> Iterator[str]:
    if time.odd:
        yield say(f"typing.odd_{time.odd}")


def _marks(event: Event, numbers: Sequence[int], rows: Mapping[int, TypedRow]) -> None:
    """Say of each row what the importers made of it, and where it goes back in time."""
    first = before = None
    for mark in event.marks.to_pylist():
        row = rows[numbers[int(mark["place"]) - line_of(0)]]
        kind = mark["kind"]
        row.family = KINDS[kind].detail
        row.means = "" if kind == "unmapped" else _named(mark)
        start, cell = mark["source_time"], mark["cell"]
        if start in (None, MISSING):
            continue
        begin = start - (cell // 2 if cell > US else 0)
        first = begin if first is None else first
        row.at = _at(begin, cell, first, event.sources[0].scale == "elapsed")
        if before is not None and begin + cell <= before:
            row.odd.append(say("typing.odd_back"))
        before = begin


def _named(mark: Mapping[str, Any]) -> str:
    """Return a mark as the timeline names it, with its route."""
    one = cast(Occurrence, mark)
    words = named(one) if mark["kind"] != "note" else label_words(one)
    return f"{words}, {mark['route']}" if mark["route"] else words


def _at(begin: int, cell: int, first: int, elapsed: bool) -> str:
    if elapsed:
        return clock(to_s(begin))
    text = f"{begin % DAY_US // HOUR_US:02}:{begin % HOUR_US // MINUTE_US:02}"
    if cell < MINUTE_US:
        text += f":{begin % MINUTE_US // US:02}"
    days = begin // DAY_US - first // DAY_US
    if days == 0:
        return text
    return say("typing.next_day" if days > 0 else "typing.day_before", time=text)


def _indexes(problem: Problem, count: int) -> list[int]:
    """Return which of the filled rows a problem is about."""
    found: list[int] = []
    for part in (problem.place or "").removesuffix(", ...").split(", "):
        if match := _PLACE.fullmatch(part):
            found += range(int(match[1]), int(match[2] or match[1]) + 1)
    return [line - line_of(0) for line in found if line_of(0) <= line < line_of(count)]


def _short(problem: Problem) -> str:
    """Return the words of a problem beside its row: short ones where there are any."""
    return sentences().get(f"typing.odd_{problem.code}", problem.message)


def _names(row: Sequence[str]) -> Iterator[str]:
    found = [one.text for column in NAME_COLUMNS for one in likely_names(row[column], column > 2)]
    if found:
        yield say("typing.odd_name", names=", ".join(found))


def _usual(
    draft: Draft,
    event: Event | None,
    numbers: Sequence[int],
    rows: Mapping[int, TypedRow],
    edition: Edition,
    population: str,
) -> None:
    """Say what is usually given where a dose or an energy is not written."""
    if event is None:
        return
    counts: dict[str, int] = {}
    weight_kg = event.context.weight_kg
    for mark in event.marks.to_pylist():
        number = numbers[int(mark["place"]) - line_of(0)]
        kind, detail = mark["kind"], mark["detail"]
        if kind not in ("shock", "drug"):
            continue
        alike = "antiarrhythmic" if detail in FIRST_OF_SEVERAL else f"{kind} {detail}" if detail else kind
        counts[alike] = counts.get(alike, 0) + 1
        if mark["amount"] is None and not draft.rows[number][COLUMNS.index("amount")].strip():
            found = usual(edition, population, weight_kg, kind, detail, counts[alike])
            rows[number].usual = found
