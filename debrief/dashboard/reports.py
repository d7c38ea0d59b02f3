"""Reports of the events on a shelf, each computed once for a state of its folder and an edition."""

import contextvars
import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from copy import copy
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from debrief.assess import Asked, Assessment, assess
from debrief.dashboard.event_folder import entry, entry_title, sample_paths
from debrief.dashboard.shelf import NO_BOUNDS, Shelf
from debrief.dashboard.written import Row, rows
from debrief.errors import DebriefError
from debrief.model.contract import Report
from debrief.model.event import Event
from debrief.model.times import to_s, to_us
from debrief.model.values import in_text
from debrief.picture.captions import kind_words, wall_at
from debrief.picture.layout import lay_out
from debrief.picture.plain import Picture
from debrief.reports.making import is_invented
from debrief.words import language, say

KEPT = 12


@dataclass(frozen=True, eq=False)
class Measured:
    """An event as the pages show it: its report, and what is made of it once for all callbacks."""

    event_id: str
    folder: Path
    assessment: Assessment
    report: Report

    @cached_property
    def name(self) -> str:
        """What the event is called at the head of its page."""
        here = entry(self.event_id, self.folder)
        return str(here.settings.get("unit") or entry_title(here))

    def at(self, folder: Path) -> "Measured":
        """Return the same with another folder, into which its changes are to be written."""
        there = copy(self)
        object.__setattr__(there, "folder", folder)
        return there

    @property
    def event(self) -> Event:
        """The event as read."""
        return self.assessment.event

    @property
    def zero_us(self) -> int:
        """Time zero on the reference clock. [us]"""
        return int(self.assessment.course.placing.zero[0, 0])

    def moment(self, seconds: float) -> str:
        """Return a time as the reference clock reads it: with its date where it has one, else as seconds."""
        at_us = self.zero_us + to_us(seconds)
        return self.assessment.aligned.wall(at_us) or f"{to_s(at_us):g}"

    @cached_property
    def rows(self) -> list[Row]:
        """Every mark as it was written, single compressions folded into runs."""
        aligned = self.assessment.aligned
        shifts = dict(
            zip((one.source_id for one in aligned.members), aligned.sources.shift.tolist(), strict=True)
        )
        behind_us = {source_id: self.zero_us - shift for source_id, shift in shifts.items()}
        made = rows(self.event.marks, behind_us, self.event.removed)
        return [
            replace(
                row,
                aligned="" if row.time is None else wall_at(self.report, row.time),
                read_as=self._read_as(row.name),
            )
            for row in made
        ]

    def _read_as(self, mark: str) -> str:
        """Return how a mark was corrected and what its source says, empty where it was not."""
        one = self.event.corrected.get(mark)
        if one is None:
            return ""
        columns = ("kind", "detail", "amount", "unit", "route", "note", "role")
        texts = [(name, one.read[name]) for name in columns if name in one.read]
        said = [kind_words(str(value)) if name == "kind" else in_text(value) for name, value in texts]
        told = [say("corrections.moved_to", time=one.time_text)] if one.time_text is not None else []
        if texts:
            told.append(
                say("corrections.read_as", what=" ".join(filter(None, said)) or say("corrections.nothing"))
            )
        return "; ".join(told)

    @cached_property
    def row_of(self) -> dict[str, Row]:
        """The row of each mark, by the mark's name."""
        return {mark: row for row in self.rows for mark in row.marks}

    @cached_property
    def written(self) -> dict[str, str]:
        """The time of each mark as written, by the mark's name."""
        marks = self.event.marks
        columns = (marks[name].to_pylist() for name in ("source_id", "place", "time_text"))
        return {f"{source}:{place}": text for source, place, text in zip(*columns, strict=True)}

    @cached_property
    def files(self) -> dict[str, str]:
        """The file of each source."""
        return {source["source_id"]: source["file"] for source in self.report["sources"]}

    @cached_property
    def picture(self) -> Picture:
        """The whole timeline, laid out at a usual width."""
        return lay_out(self.report, written=self.written)

    @property
    def extent(self) -> tuple[float, float]:
        """All there is to show, from and to. [s]"""
        return self.picture.extent

    @property
    def last(self) -> float:
        """When the record ends. [s]"""
        return max([self.report["end"]["time"], *(one["time"] for one in self.report["occurrences"])])


class Reports:
    """What was measured of the events on a shelf.

    Parameters
    ----------
    shelf
        The events that can be opened.
    site
        The site's file: whose targets come first, and after how many days a clock check is stale.
    """

    def __init__(self, shelf: Shelf, site: Path | None = None) -> None:
        self.shelf, self.site = shelf, site
        self._kept: OrderedDict[tuple[str | None, ...], Measured] = OrderedDict()
        self._briefs: dict[tuple[str, str, str], Report | str] = {}
        self._lock = threading.Lock()

    @property
    def asked(self) -> Asked:
        """How events that come are measured first."""
        return replace(NO_BOUNDS, site=self.site)

    def begin(self, event_id: str, prepare: Callable[[Measured], object]) -> None:
        """Measure an event and prepare its page while the browser still fetches scripts.

        What fails is left for the page to say.
        """

        def measure() -> None:
            with suppress(DebriefError):
                prepare(self.get(event_id))

        spoken = contextvars.copy_context()
        threading.Thread(target=spoken.run, args=[measure], daemon=True).start()

    def state(self, event_id: str) -> str:
        """Return a digest of all that an event is measured from."""
        files = (file.read_bytes() for file in (self.shelf.clock_log, self.site) if file and file.is_file())
        digests = (hashlib.sha256(file).hexdigest() for file in files)
        return " ".join([self.shelf.state(event_id), str(self.shelf.remembered), *digests])

    @contextmanager
    def changing(self, event_id: str, role: str = "", why: str = "") -> Iterator[Path]:
        """Give a folder to write changes of an event into, kept where it can still be measured afterwards.

        Raises
        ------
        DebriefError
            As `Shelf.changing` and `get`.
        """
        with self.shelf.changing(event_id, role, why) as folder:
            yield folder
            assess([folder], settings=self.shelf.settings(), site=self.site, draws=0)

    def invented(self, event_id: str) -> bool:
        """Return whether nothing of an event happened: a sample, or one whose setting says so."""
        setting = entry(event_id, self.shelf.folder(event_id)).settings.get("setting")
        return is_invented(setting) or (event_id in sample_paths() and not self.shelf.is_kept(event_id))

    def get(self, event_id: str, edition: str | None = None, beside: str | None = None) -> Measured:
        """Return an event as its folder stands now, in the language spoken now.

        Parameters
        ----------
        event_id
            The event.
        edition, beside
            The edition that judges (null: the usual one), and one whose targets are shown beside it.

        Raises
        ------
        DebriefError
            Where the event is not kept, or its files cannot be read or hold nothing measurable.
        """
        folder = self.shelf.folder(event_id)
        with self._lock:
            key = (event_id, self.state(event_id), edition, beside, language().name)
            if key not in self._kept:
                found = assess(
                    [folder], settings=self.shelf.settings(), edition=edition, site=self.site, beside=beside
                )
                self._kept[key] = Measured(event_id, folder, found, found.to_dict())
            self._kept.move_to_end(key)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
            return self._kept[key]

    def brief(self, event_id: str, only_known: bool = False) -> Report | str | None:
        """Return an event's report without bounds, for a list of many; the refusal where it has none.

        ``only_known``: return null rather than measure.
        """
        try:
            key = (event_id, self.state(event_id), language().name)
        except DebriefError as error:
            return str(error)
        if key not in self._briefs and not only_known:
            try:
                folder = self.shelf.folder(event_id)
                settings = self.shelf.settings()
                report = assess([folder], settings=settings, site=self.site, draws=0).to_dict()
                self._briefs[key] = _light(report)
            except DebriefError as error:
                self._briefs[key] = str(error)
        return self._briefs.get(key)


def _light(report: Report) -> Report:
    """Return a report without what a list of events never shows, so that many can be kept."""
    return report | {"occurrences": [], "hands_on": [], "pauses": [], "by_minute": []}
