"""What the registry keeps of a measured event, and how many events are measured at once."""

import json
import os
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager
from dataclasses import asdict, dataclass, field
from functools import cached_property, partial
from hashlib import sha256
from multiprocessing import get_context, parent_process
from pathlib import Path
from threading import Thread
from typing import Any, TypeVar

from debrief import __version__
from debrief.assess import Asked, Assessment, assess_event
from debrief.assess.findings import population
from debrief.errors import DebriefError, NothingMeasurable, NotKept
from debrief.importers import Settings, read_event
from debrief.model.contract import DEFINITIONS
from debrief.model.event import Event
from debrief.words import ENGLISH, say, speaking

A = TypeVar("A")
B = TypeVar("B")
Row = dict[str, Any]
LayDown = Callable[[Path], None]
"""Writes an event's files into a folder."""

FEWEST_APART = 24
"""Fewer events than this are worked on here; more by as many processes as there are processors."""
CLOCKS = frozenset({"clock_unknown", "clock_unclear", "another_day"})
ANSWERABLE = ("needs_mapping", "nothing_measured")
"""How an event stands that other answers about its layout can help."""
STATUSES = ("new", "needs_mapping", "needs_clocks", "to_check", "nothing_measured")


@dataclass(frozen=True)
class How:
    """How events are read and measured for the registry."""

    asked: Asked = field(default_factory=lambda: Asked(draws=0))
    settings: Settings = field(default_factory=Settings)

    @cached_property
    def parameters(self) -> str:
        """What figures depend on beside their event, as JSON: other parameters, other figures."""
        asked = asdict(self.asked)
        site = self.asked.site
        asked["site"] = sha256(site.read_bytes()).hexdigest() if site else None
        checks = sha256(repr(sorted(self.settings.clock_checks.items())).encode()).hexdigest()
        layouts = sha256()
        for path in sorted(self.settings.remembered.glob("*.toml")) if self.settings.remembered else ():
            layouts.update(f"{path.name}\0".encode() + path.read_bytes() + b"\0")
        found = asked | {"software": __version__, "clock_checks": checks, "layouts": layouts.hexdigest()}
        return json.dumps(found, sort_keys=True)


@dataclass(frozen=True)
class Measured:
    """What is kept of an event's measurement: columns of `tables.measurement` and rows of `tables.figure`.

    ``about``: what lists show of the event's context, from whatever tells it; ``facts``: what cohorts choose
    it by (`Assessment.particulars`).
    """

    parameters: str
    status: str
    marks: int
    problems: tuple[Row, ...]
    figures: tuple[Row, ...]
    about: Mapping[str, str | None]
    facts: Mapping[str, Any] = field(default_factory=dict)
    definitions: int = DEFINITIONS

    @property
    def to_check(self) -> int:
        """How many of its problems somebody should look at."""
        return sum(one["severity"] != "note" for one in self.problems)


def measure(folder: Path, how: How) -> Measured:
    """Measure an event that lies in a folder. Sentences are in English, whatever is spoken here.

    Raises
    ------
    DebriefError
        Where none of its files can be read, or its event.json says what cannot be. Files in which nothing
        can be measured are no error: the status says so.
    """
    with speaking(ENGLISH):
        event = read_event([folder], how.settings)
        found: Assessment | None = None
        problems = event.problems
        try:
            found = assess_event(event, how.asked)
            problems = found.problems
        except NothingMeasurable:
            pass
        figures: tuple[Row, ...] = ()
        if found:  # what sources that stand apart lend is in the whole report alone
            figures = tuple(map(_row, found.to_dict()["figures"] if found.apart else found.judged()))
    rows = tuple(asdict(one) for one in problems)
    status, about = _status(found, problems), _about(event, found)
    facts = found.particulars() if found else {}
    return Measured(how.parameters, status, len(event.marks), rows, figures, about, facts)


def _about(event: Event, found: Assessment | None) -> dict[str, str | None]:
    context = event.context
    known = {key: getattr(context, key) for key in ("date", "unit", "setting")}
    if found and known["date"] is None:
        wall = found.aligned.wall(int(found.course.placing.zero[0, 0]))
        known["date"] = wall[:10] if wall and wall[4:5] == "-" else None
    return known | {"population": population(context)}


def _row(figure: Any) -> Row:  # noqa: ANN401 - a TypedDict, read by key
    names = ("name", "value", "unit", "low", "high", "certainty", "verdict", "because")
    row = {name: figure[name] for name in names}
    value = None if row["value"] is None else float(row["value"])
    return row | {"value": value, "target": figure["target"] and figure["target"]["id"]}


def _status(found: Assessment | None, problems: Sequence[Any]) -> str:
    codes = {one.code for one in problems}
    if "label_unmapped" in codes:
        return "needs_mapping"
    if found is None:
        return "nothing_measured"
    if found.aligned.apart or codes & CLOCKS:
        return "needs_clocks"
    return "to_check" if any(one.severity != "note" for one in problems) else "new"


@contextmanager
def laid_down(lay_down: LayDown) -> Iterator[Path]:
    """Lay an event down in a folder of its own for as long as it is read.

    Raises
    ------
    NotKept
        Where there is no room for it.
    """
    with tempfile.TemporaryDirectory(prefix="debrief-") as name:
        try:
            lay_down(Path(name))
        except OSError as error:
            reason = error.strerror or error
            raise NotKept(say("registry.no_room_to_measure", folder=name, reason=reason)) from error
        yield Path(name)


def measured_or_why(lay_down: LayDown, how: How) -> Measured | str:
    """Return what was measured of an event that lays itself down in a folder, or why nothing was."""
    try:
        with laid_down(lay_down) as folder:
            return measure(folder, how)
    except DebriefError as error:
        return str(error)


@contextmanager
def spread_out(work: Callable[[A], B], expected: int) -> Iterator[Callable[[Sequence[A]], Iterator[B]]]:
    """Give a function that does the work on each of a sequence and yields what comes of it, in its order.

    Where many are expected they are shared out to processes, one a processor, which begin at once.
    """
    if expected < FEWEST_APART or (os.cpu_count() or 1) < 2:
        yield lambda parts: map(work, parts)
        return
    with ProcessPoolExecutor(mp_context=get_context("spawn"), initializer=end_with_parent) as pool:
        yield lambda parts: pool.map(work, parts, chunksize=4)


def end_with_parent() -> None:
    """End this process when the one that began it is gone, however that ended."""
    parent = parent_process()

    def wait() -> None:
        if parent:
            parent.join()
            os._exit(1)

    Thread(target=wait, daemon=True).start()


def measuring(
    how: How, expected: int
) -> AbstractContextManager[Callable[[Sequence[LayDown]], Iterator[Measured | str]]]:
    """Give a function that measures events, in their order, in processes of their own where they are many."""
    how.parameters  # noqa: B018 - worked out once, for all processes
    return spread_out(partial(measured_or_why, how=how), expected)
