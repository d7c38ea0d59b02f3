"""Bring the sources of one event onto the reference clock.

What is known of a clock places its source at once; the others are matched by the marks they share with the
reference, and failing that with any source that is placed. A source that nothing places is left out, and a
problem says so. Raw times are never changed.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from debrief.clocks import evidence, matching
from debrief.clocks.anchors import anchors
from debrief.clocks.checks import STALE_DAYS
from debrief.clocks.evidence import Clock, Side, apart_words
from debrief.clocks.lateness import Spread, even
from debrief.clocks.likeness import unlike
from debrief.clocks.matching import Match
from debrief.clocks.midway import set_midway
from debrief.clocks.wall import Wall, across
from debrief.model.axis import HALF_US, Bools, Ints
from debrief.model.columns import Codebook, bool_array, int_array, ints_of
from debrief.model.event import Event, Source
from debrief.model.occurrences import RANKS, Sources
from debrief.model.problems import Problem, problem
from debrief.model.times import HOUR_US, to_us
from debrief.words import say

WORDS = ("time_text", "source_time", "kind", "detail", "amount", "unit")
"""Two sources alike in these are one."""


@dataclass(frozen=True)
class Aligned:
    """The marks of the sources that stand on the reference clock, ``time`` filled in, and their clocks.

    ``source``: the row of ``sources`` of each mark, int64, shape (n,); ``members``: these sources, and
    ``clocks`` and ``pairs`` (names of shared marks and their residual [us]) by ``members``; ``apart``: the
    sources that nothing places; ``offers``: ways to match those, by their id.
    """

    marks: pa.Table
    source: Ints
    sources: Sources
    members: tuple[Source, ...]
    clocks: tuple[Clock, ...]
    pairs: tuple[tuple[tuple[str, str, int], ...], ...]
    reference: Source | None
    apart: tuple[Source, ...]
    offers: dict[str, tuple[Match, ...]]
    problems: tuple[Problem, ...]

    @property
    def spreads(self) -> tuple[Spread, ...]:
        """How each member's clock may stand otherwise."""
        return tuple(clock.spread for clock in self.clocks)

    def wall(self, time_us: int) -> str | None:
        """Return a time of the reference clock as read there, null where it has no hours."""
        return None if self.reference is None else Wall.of(self.reference).text(time_us)

    def read(self, text: str) -> int | None:
        """Return a time written as the reference has them, on its clock, null where it cannot be read. [us]

        A date and time, a clock time (taken to the day nearest the marks), or seconds.
        """
        wall = Wall("elapsed", None) if self.reference is None else Wall.of(self.reference)
        return wall.read(text, int(np.median(ints_of(self.marks["time"]))))


def align(event: Event, stale_after_days: float = STALE_DAYS) -> Aligned:
    """Return the marks of one event that stand on the reference clock. Those without a time are left out.

    Parameters
    ----------
    stale_after_days
        How old a clock check may be before it is said to be stale.
    """
    held = _by_source(_counted(event))
    sources = [source for source in event.sources if source.source_id in held]
    sources, problems = _once(sources, held)
    reference = _reference(event, sources, held)
    clocks, offers, said = _placed(sources, reference, held, stale_after_days)
    problems += said
    members = [source for source in sources if source.source_id in clocks]
    tables = []
    for source in members:
        table = held[source.source_id]
        time = int_array(clocks[source.source_id].aligned(ints_of(table["source_time"])))
        at = table.schema.get_field_index("time")
        tables.append(table.set_column(at, table.schema.field("time"), time))
    if reference is not None:
        apart = {name: held[name] for name, ways in offers.items() if not ways}
        placed = {source.source_id: table for source, table in zip(members, tables, strict=True)}
        problems += unlike(reference, placed, apart, sources)
    joined = pa.concat_tables(tables) if tables else event.marks.slice(0, 0)
    source_row = np.repeat(np.arange(len(tables)), [len(table) for table in tables])
    far = _far(joined)
    for row in np.flatnonzero(far).tolist():
        place, text = (joined[name][row].as_py() for name in ("place", "time_text"))
        problems.append(problem("too_far", members[source_row[row]].source_id, place, read=text))
    if far.any():
        joined, source_row = joined.filter(bool_array(~far)), source_row[~far]
    by_member = tuple(clocks[source.source_id] for source in members)
    for source, clock in zip(members, by_member, strict=True):
        problems += [replace(told, source_id=source.source_id) for told in clock.problems]
    return Aligned(
        marks=joined,
        source=source_row,
        sources=_columns(members, by_member),
        members=tuple(members),
        clocks=by_member,
        pairs=tuple(_named(source, clock, held) for source, clock in zip(members, by_member, strict=True)),
        reference=reference,
        apart=tuple(source for source in sources if source.source_id not in clocks),
        offers=offers,
        problems=tuple(problems),
    )


def only(event: Event, sources: tuple[Source, ...]) -> Event:
    """Return an event as some of its sources tell it alone, without what was set on the reference clock."""
    kept = {source.source_id for source in sources}
    rows = bool_array(np.array([name in kept for name in event.marks["source_id"].to_pylist()], np.bool_))
    files = {source.file for source in sources}
    return replace(
        event,
        context=replace(event.context, reference=None, time_zero=None, end=None),
        sources=sources,
        marks=event.marks.filter(rows),
        inputs=tuple(entry for entry in event.inputs if entry.file in files),
        problems=(),
        linked=within(event.linked, sources),
        parted=within(event.parted, sources),
    )


def within(pairs: frozenset[tuple[str, str]], sources: tuple[Source, ...]) -> frozenset[tuple[str, str]]:
    """Return the pairs of marks that are both of some sources."""
    kept = {source.source_id for source in sources}
    return frozenset(pair for pair in pairs if {mark.partition(":")[0] for mark in pair} <= kept)


def _counted(event: Event) -> pa.Table:
    """Return the marks that have a time and that no reviewer took out."""
    marks = event.marks.filter(pc.is_valid(event.marks["source_time"]))
    if not event.removed:
        return marks
    ids, places = marks["source_id"].to_pylist(), marks["place"].to_pylist()
    names = (f"{source_id}:{place}" for source_id, place in zip(ids, places, strict=True))
    return marks.filter(
        bool_array(np.fromiter((name not in event.removed for name in names), np.bool_, len(marks)))
    )


def _by_source(marks: pa.Table) -> dict[str, pa.Table]:
    """Return the marks of each source."""
    coded = marks["source_id"].combine_chunks().dictionary_encode()
    codes = ints_of(coded.indices)
    names = coded.dictionary.to_pylist()
    return {name: marks.filter(bool_array(codes == code)) for code, name in enumerate(names)}


def _once(sources: list[Source], held: dict[str, pa.Table]) -> tuple[list[Source], list[Problem]]:
    """Return the sources without those that say word for word what another says, and what is told of them."""
    kept: list[Source] = []
    problems: list[Problem] = []
    for source in sources:
        said = held[source.source_id].select(WORDS)
        first = next((one for one in kept if held[one.source_id].select(WORDS).equals(said)), None)
        if first is None or len(said) < 2:
            kept.append(source)
        else:
            problems.append(problem("same_marks_twice", source.source_id, file=source.file, other=first.file))
    return kept, problems


def _reference(event: Event, sources: list[Source], held: dict[str, pa.Table]) -> Source | None:
    """Choose the reference: the one named, else the first device, else the finest cell."""
    free = [source for source in sources if source.clock is None] or sources
    wanted = event.context.reference
    named = [
        source for source in sources if wanted and wanted in (source.source_id, source.name, source.file)
    ]
    devices = [source for source in free if source.kind == "device"]
    if named or devices:
        return (named or devices)[0]
    return min(free, key=lambda source: pc.min(held[source.source_id]["cell"]).as_py(), default=None)


def _placed(
    sources: list[Source], reference: Source | None, held: dict[str, pa.Table], stale_after_days: float
) -> tuple[dict[str, Clock], dict[str, tuple[Match, ...]], list[Problem]]:
    """Return the clock of each source that can be placed, ways to match the others, and what is told."""
    if reference is None:
        return {}, {}, []
    keys = Codebook[str]()
    sides = {source.source_id: _side(source, held[source.source_id], keys) for source in sources}
    first = sides[reference.source_id]
    bases = {name: across(side.source, side.middle, reference, first.middle) for name, side in sides.items()}
    clocks = {reference.source_id: evidence.own(first)}
    problems: list[Problem] = []
    for name, side in sides.items():
        if name == reference.source_id:
            continue
        clock, told = evidence.known(side, first, bases[name], stale_after_days)
        problems += [one for one in told if one not in problems]
        if clock is not None:
            clocks[name] = clock
    tried: dict[str, list[Match]] = {}
    for other in _in_turn(clocks):
        for name in (name for name in sides if name not in clocks):
            found = _matches(sides[name], bases[name], sides[other], clocks[other])
            if evidence.clear(found):
                clocks[name] = _by_marks(sides[name], sides[other], clocks[other], bases[name], found)
            tried.setdefault(name, found)
    offers = {}
    for name in (name for name in sides if name not in clocks):
        ways = tried[name]
        offers[name] = (ways[0], *evidence.apart_from(ways)[:4]) if ways else ()
        problems.append(_unplaced(sides[name], first, bases[name], offers[name]))
    return clocks, offers, problems


def _in_turn(clocks: dict[str, Clock]) -> Iterator[str]:
    """Yield the sources that are placed, the reference first, and those that come while it goes on."""
    done: set[str] = set()
    while rest := [name for name in clocks if name not in done]:
        done.add(rest[0])
        yield rest[0]


def _side(source: Source, marks: pa.Table, keys: Codebook[str]) -> Side:
    middle = int(np.median(ints_of(marks["source_time"])))
    return Side(source, anchors(marks, keys, rounded=source.rounding == "nearest"), middle)


def _matches(side: Side, base: int, other: Side, clock: Clock) -> list[Match]:
    moved = replace(side.anchors, time=side.anchors.time + base)
    placed = replace(other.anchors, time=clock.aligned(other.anchors.time))
    return matching.matches(moved, placed, side.beside(other))


def _by_marks(side: Side, other: Side, clock: Clock, base: int, found: list[Match]) -> Clock:
    placed = replace(other, anchors=replace(other.anchors, time=clock.aligned(other.anchors.time)))
    made = evidence.by_marks(side, placed, clock, base, found)
    second = set_midway(side, placed, base, found[0])
    if second is None:
        return made
    _, low_s, high_s = second.bounds_s
    low, high = min(made.low, to_us(low_s)), max(made.high, to_us(high_s))
    told = problem(
        "clock_set_midway",
        side.source.source_id,
        file=side.source.file,
        first=apart_words(made.offset),
        second=apart_words(to_us(second.bounds_s[0])),
        count=len(second.pairs),
    )
    return replace(
        made,
        low=low,
        high=high,
        spread=even(low - made.offset, high - made.offset, made.lag),
        others=(second, *made.others),
        problems=(*made.problems, told),
    )


def _unplaced(side: Side, reference: Side, base: int, offers: tuple[Match, ...]) -> Problem:
    """Return the problem that says why a source is left out, and what to do."""
    source, name = side.source, reference.source.name or reference.source.file
    apart = abs(side.middle + base - reference.middle)
    blanks = {"file": source.file, "reference": name}
    if "elapsed" in (source.scale, reference.source.scale):
        code = "zero_unclear" if offers else "zero_unknown"
    elif apart > 14 * HOUR_US:
        code, blanks = "another_day", blanks | {"hours": f"{apart / HOUR_US:.0f}"}
    else:
        code = "clock_unclear" if offers else "clock_unknown"
    if code == "clock_unclear":
        blanks |= {"ways": say("clocks.or").join(apart_words(to_us(way.bounds_s[0])) for way in offers[:2])}
    return problem(code, source.source_id, **blanks)


def _columns(members: list[Source], clocks: tuple[Clock, ...]) -> Sources:
    """Return the sources as columns."""

    def column(values: list[int]) -> Ints:
        return np.array(values, np.int64)

    return Sources(
        event=column([0] * len(members)),
        rank=column([RANKS[source.kind] for source in members]),
        shift=column([clock.base + clock.offset for clock in clocks]),
        off=column(
            [
                0 if source.scale == "elapsed" else clock.offset
                for source, clock in zip(members, clocks, strict=True)
            ]
        ),
        low=column([clock.low - clock.offset for clock in clocks]),
        high=column([clock.high - clock.offset for clock in clocks]),
        lag=column([clock.lag for clock in clocks]),
        nearest=np.array([source.rounding == "nearest" for source in members], np.bool_),
    )


def _named(source: Source, clock: Clock, held: dict[str, pa.Table]) -> tuple[tuple[str, str, int], ...]:
    """Return the shared marks behind a clock by name: the source's, the other's, and what is left. [us]"""

    def name(source_id: str, row: int) -> str:
        return f"{source_id}:{held[source_id]['place'][row].as_py()}"

    pairs = (pair for entry in clock.evidence for pair in entry.pairs)
    return tuple(
        (name(source.source_id, pair.row), name(pair.other, pair.other_row), pair.residual) for pair in pairs
    )


def _far(marks: pa.Table) -> Bools:
    """Return which marks lie further than half a slot from the middle one."""
    time = ints_of(marks["time"])
    if not len(time):
        return np.zeros(0, np.bool_)
    return np.asarray(np.abs(time - int(np.median(time))) >= HALF_US // 2)
