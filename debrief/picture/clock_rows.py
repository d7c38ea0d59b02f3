"""Rows of marks, one a source, with lines between two marks of the same thing."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from debrief import words
from debrief.model.contract import ClockPair, SourceOut
from debrief.model.times import clock
from debrief.picture.captions import shortened
from debrief.picture.clock_words import apart_words, name_of, residual_words, standing_in_short
from debrief.picture.labels import Levels, label_width
from debrief.picture.plain import Bar, Label, Lane, Line, Mark, Picture, Tick, Wedge
from debrief.picture.sheet import Scale
from debrief.words import say

LEFT_PX, RIGHT_PX = 178.0, 44.0
_ROW_PX = 84.0
_NAME_PX = 11.5
_NAME_ROWS = 3
_NAME_STEP_PX = 15.0
_WEDGE_PX = 17.0
_NAME_LETTERS = 24
_RUN_S = 5.0
"""Single compressions no further apart are one bar. [s]"""
_LINES = 3
"""How many kinds of line there are; sources beyond that share one."""


@dataclass(frozen=True)
class Stamp:
    """A mark by two clocks. [s]

    ``at`` is by that of its source, from midnight of the reference's day or from the source's own zero;
    ``time`` from time zero, null where not aligned. ``name`` is ``source:place``, ``what`` the mark in words,
    ``written`` its time as written.
    """

    name: str
    source: str
    kind: str
    at: float
    time: float | None
    written: str
    what: str


class Rows:
    """The rows of the pictures.

    Parameters
    ----------
    sources
        From top to bottom; the first is the reference.
    stamps
        Every mark that has a time.
    pairs
        Two marks of the same thing, each with the source that it ties to the others.
    width
        How wide a picture will be. [px]
    """

    def __init__(
        self,
        sources: Sequence[SourceOut],
        stamps: Sequence[Stamp],
        pairs: Sequence[tuple[SourceOut, ClockPair]],
        width: int,
    ) -> None:
        self.sources, self.stamps, self.pairs = sources, stamps, pairs
        self.width = width
        self.by_name = {stamp.name: stamp for stamp in stamps}
        self.names = {source["source_id"]: name_of(source) for source in sources}

    def time(self, name: str) -> float | None:
        """Return the time of a mark from time zero, null where it is not aligned. [s]"""
        return self.by_name[name].time if name in self.by_name else None

    def picture(
        self,
        at: Mapping[str, float],
        view: tuple[float, float],
        ticks: tuple[Tick, ...],
        caption: str,
        description: str,
        far: Mapping[str, float] | None = None,
    ) -> Picture:
        """Lay out all rows.

        Parameters
        ----------
        at
            Where each mark stands, by its name. [s]
        view
            The stretch to show. [s]
        ticks
            Those of the axis.
        caption, description
            What stands beneath, and what those are told who do not see it.
        far
            Sources that stand too far away to be drawn, and how far; null where marks stand on the reference.
        """
        scale = Scale(*view, LEFT_PX, self.width - RIGHT_PX)
        names, first = self._names(at, scale)
        ys = {source["source_id"]: first + n * _ROW_PX for n, source in enumerate(self.sources)}
        items: list[Bar | Line | Mark | Wedge] = list(self._pairs(at, ys))
        labels = names
        for source in self.sources:
            source_id, y = source["source_id"], ys[source["source_id"]]
            items.append(
                Line(f"row:{source_id}", "clock_row", source_id, "", (), (((view[0], y), (view[1], y)),))
            )
            away = self._away(source, at, far)
            if away:
                items.append(Bar(f"away:{source_id}", "not_seen", source_id, away, (), *view, y - 11, y + 11))
                labels.append(Label(f"away:{source_id}", sum(view) / 2, y, "", away, "ink", 12.5, "middle"))
            else:
                own = [stamp for stamp in self.stamps if stamp.source == source_id and stamp.name in at]
                if far is None:
                    items += self._spreads(source, at, y, scale)
                items += self._marks(own, at, y)
            short = standing_in_short(source, self.sources[0])
            labels.append(Label(f"row:{source_id}", view[0], y + 9, "", short, "soft", _NAME_PX, "end", -14))
        bottom = max(ys.values()) + 30
        return Picture(
            width=self.width,
            height=bottom + (58 if ticks and ticks[0].wall else 44),
            left=LEFT_PX,
            right=RIGHT_PX,
            axis_y=bottom,
            view=view,
            extent=view,
            lanes=tuple(_lane(source, ys[source["source_id"]]) for source in self.sources),
            ticks=ticks,
            minor=(),
            items=tuple(items),
            labels=tuple(labels),
            unplaced=(),
            caption=caption,
            description=description,
        )

    def _away(self, source: SourceOut, at: Mapping[str, float], far: Mapping[str, float] | None) -> str:
        """Return why the marks of a row are not drawn; nothing where they are."""
        if far is None:
            return "" if source["group"] == 1 else say("clock_page.no_clock")
        off = far.get(source["source_id"])
        return say("clock_page.far", apart=apart_words(60 * round(off / 60))) if off else ""

    def _pairs(self, at: Mapping[str, float], ys: Mapping[str, float]) -> Iterator[Line]:
        """Yield a line for each pair; a kind of line for each source."""
        order = [source["source_id"] for source in self.sources[1:]]
        for source, pair in self.pairs:
            one, other = self.by_name.get(pair["mark"]), self.by_name.get(pair["other"])
            if one is None or other is None or one.name not in at or other.name not in at:
                continue
            number = order.index(source["source_id"]) % _LINES + 1
            ends = tuple((at[stamp.name], ys[stamp.source]) for stamp in (one, other))
            hover = say(
                "clock_page.pair",
                what=one.what,
                written=one.written,
                source=self.names[one.source],
                other_written=other.written,
                other=self.names[other.source],
                residual=residual_words(pair["residual"]),
            )
            yield Line(
                f"pair:{one.name}",
                f"pair_{number}",
                source["source_id"],
                hover,
                (one.name, other.name),
                (ends,),
            )

    def _marks(self, own: Sequence[Stamp], at: Mapping[str, float], y: float) -> Iterator[Bar | Mark | Wedge]:
        """Yield the marks of a row: shocks as wedges, drugs as dots, single compressions as runs."""
        singles = sorted(
            (stamp for stamp in own if stamp.kind == "compression"), key=lambda one: at[one.name]
        )
        starts = [n == 0 or at[one.name] - at[singles[n - 1].name] > _RUN_S for n, one in enumerate(singles)]
        for _, run in groupby(zip(singles, _running(starts), strict=True), lambda pair: pair[1]):
            alike = [stamp for stamp, _ in run]
            first, last = alike[0], alike[-1]
            hover = say("picture.hover.compressions", count=len(alike))
            yield Bar(
                f"mark:{first.name}",
                "hands_on",
                first.source,
                hover,
                (),
                at[first.name],
                at[last.name],
                y - 4,
                y + 4,
            )
        for stamp in own:
            name, where, hover = f"mark:{stamp.name}", at[stamp.name], self._hover(stamp)
            if stamp.kind in ("shock", "cardioversion"):
                yield Wedge(name, stamp.kind, stamp.source, hover, (stamp.name,), where, y - _WEDGE_PX, y + 3)
            elif stamp.kind != "compression":
                yield Mark(name, _role(stamp.kind), stamp.source, hover, (stamp.name,), where, y)

    def _hover(self, stamp: Stamp) -> str:
        blanks = {
            "what": stamp.what,
            "written": stamp.written,
            "source": self.names.get(stamp.source, stamp.source),
        }
        if stamp.time is None:
            return say("clock_page.stamp", **blanks)
        return say("clock_page.stamp_at", **blanks, time=clock(stamp.time))

    def _spreads(self, source: SourceOut, at: Mapping[str, float], y: float, scale: Scale) -> Iterator[Bar]:
        """Yield how far the clock may be off, as a pale bar beneath each mark that ties it to others."""
        bounds = source["clock"]
        if bounds is None or (bounds["high"] - bounds["low"]) * scale.px_per_s < 3:
            return
        early, late = bounds["low"] - bounds["offset"], bounds["high"] - bounds["offset"]
        for tied, pair in self.pairs:
            if tied == source and pair["mark"] in at:
                x, name = at[pair["mark"]], pair["mark"]
                yield Bar(
                    f"spread:{name}",
                    "spread",
                    source["source_id"],
                    "",
                    (name,),
                    x + early,
                    x + late,
                    y + 7,
                    y + 11,
                )

    def _names(self, at: Mapping[str, float], scale: Scale) -> tuple[list[Label], float]:
        """Return the words of the reference's shared marks, where there is room, and where its row lies.

        Starts and stops of compressions are named only where nothing else is shared.
        """
        shared = {name for _, pair in self.pairs for name in (pair["mark"], pair["other"])}
        levels = Levels(_NAME_ROWS, scale.left - 20, self.width - 4, gap=8)
        here = self.sources[0]["source_id"]
        own = [one for one in self.stamps if one.source == here and one.name in shared and one.name in at]
        own = [one for one in own if _role(one.kind) != "mark_small"] or own
        placed: list[tuple[Stamp, int]] = []
        for stamp in sorted(own, key=lambda one: at[one.name]):
            x, half = scale.px(at[stamp.name]), label_width("", stamp.what, _NAME_PX) / 2
            row = next((n for n in range(_NAME_ROWS) if levels.free(n, x - half, x + half, None)), None)
            if row is not None and scale.shows(at[stamp.name]):
                levels.take(row, x - half, x + half, None)
                placed.append((stamp, row))
        first = levels.used * _NAME_STEP_PX + _WEDGE_PX + 8
        labels = [
            Label(
                f"mark:{stamp.name}",
                at[stamp.name],
                first - _WEDGE_PX - 9 - row * _NAME_STEP_PX,
                "",
                stamp.what,
                "ink",
                _NAME_PX,
                "middle",
            )
            for stamp, row in placed
        ]
        return labels, first


def _lane(source: SourceOut, y: float) -> Lane:
    title = shortened(name_of(source), _NAME_LETTERS)
    return Lane(source["source_id"], title, y - 14, y + 14, "spine", y - 7)


def _running(starts: Sequence[bool]) -> Iterator[int]:
    count = 0
    for start in starts:
        count += start
        yield count


def _role(kind: str) -> str:
    known = words.KINDS.get(kind)
    if kind == "drug":
        return "mark_drug"
    if kind == "rosc":
        return "mark_outcome"
    return "mark_small" if known is None or known.family in ("compressions", "seen", "other") else "mark"
