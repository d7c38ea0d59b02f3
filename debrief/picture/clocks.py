"""The clocks of one event, laid out: rows as each source wrote and on the reference clock, and what is left.

Each picture has an axis of its own and is painted as the timeline is (``svg.paint``). A line joins two marks
of the same thing: where clocks disagree it leans, where they agree it stands upright.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from debrief.model.contract import ClockOut, ClockPair, Report, SourceOut
from debrief.model.times import clock
from debrief.picture.axis import arrest_of, extent_of, step_of
from debrief.picture.clock_rows import LEFT_PX, RIGHT_PX, Rows, Stamp
from debrief.picture.clock_words import (
    clocks_of,
    counts_itself,
    name_of,
    of_day,
    reference_of,
    residual_words,
)
from debrief.picture.plain import Bar, Label, Lane, Line, Mark, Picture, Tick, Wedge
from debrief.picture.sheet import Scale
from debrief.words import say

__all__ = ["Clocks", "Stamp", "lay_clocks", "pairs_of"]

_FAR_S = 3 * 3600.0
"""A row whose middle lies further off does not stretch the axis. [s]"""
_ALIKE = 2.0
"""Both pictures have one scale where the first needs no more than this many times the room of the second."""
_ROOM = 0.015
_STRIP_PX = 44.0
"""Half the height of a strip of what is left over. [px]"""
_ROUND_S = (2, 5, 10, 15, 30, 60, 90, 120, 180, 300, 600, 1800, 3600)


@dataclass(frozen=True)
class Clocks:
    """The pictures: as written, on the reference clock, and for each source a strip of what is left over."""

    before: Picture
    after: Picture
    residuals: Mapping[str, Picture]


def lay_clocks(report: Report, stamps: Sequence[Stamp], width: int) -> Clocks | None:
    """Lay out the clocks of an event; null where no mark stands on the reference's.

    Parameters
    ----------
    report
        The contract of one event.
    stamps
        Every mark that has a time.
    width
        How wide each picture will be. [px]
    """
    reference = reference_of(report)
    own = [stamp for stamp in stamps if reference and stamp.source == reference["source_id"]]
    zero = next((stamp.at - stamp.time for stamp in own if stamp.time is not None), None)
    if reference is None or zero is None:
        return None
    sources = clocks_of(report)
    shown = arrest_of(report, extent_of(report))
    written = {
        name: at
        for source in sources
        for name, at in _written(source, reference, stamps, shown[0] + zero).items()
    }
    far = {source["source_id"]: _far(source, stamps, written, zero + sum(shown) / 2) for source in sources}
    view = _view([one for one in stamps if not far.get(one.source)], written, shown, zero)
    alike = view[1] - view[0] <= _ALIKE * (shown[1] - shown[0])
    after_view = (view[0] - zero, view[1] - zero) if alike else shown
    pairs = [(source, pair) for source in sources for pair in pairs_of(source)]
    rows = Rows(sources, stamps, pairs, width)
    hours = not counts_itself(reference)
    blanks = {"count": len(sources), "pairs": len(pairs), "reference": name_of(reference)}
    before = rows.picture(
        written,
        view,
        _ticks(Scale(*view, LEFT_PX, width - RIGHT_PX), hours),
        say("clock_page.before_caption" if hours else "clock_page.before_caption_elapsed"),
        say("clock_page.before_description", **blanks),
        far={source_id: off for source_id, off in far.items() if off},
    )
    after = rows.picture(
        {stamp.name: stamp.time for stamp in stamps if stamp.time is not None},
        after_view,
        _ticks(Scale(*after_view, LEFT_PX, width - RIGHT_PX), hours, zero),
        say("clock_page.after_caption", **blanks),
        say("clock_page.after_description", **blanks),
    )
    strips = {
        source["source_id"]: _strip(source, source["clock"], rows, after)
        for source in sources
        if source["clock"] and list(pairs_of(source))
    }
    return Clocks(before, after, strips)


def pairs_of(source: SourceOut) -> Iterator[ClockPair]:
    """Yield the pairs of marks that tie a source to others, by time."""
    for evidence in source["clock"]["evidence"] if source["clock"] else ():
        yield from evidence["pairs"]


def _written(
    source: SourceOut, reference: SourceOut, stamps: Sequence[Stamp], start: float
) -> dict[str, float]:
    """Return where the marks of a source stand as it wrote them, on the axis of the reference's clock. [s]

    Hours and minutes from some zero have no axis in common: that zero, or the first hour, lies at the start.
    """
    own = {stamp.name: stamp.at for stamp in stamps if stamp.source == source["source_id"]}
    if counts_itself(source) == counts_itself(reference):
        return own
    first = 0.0 if counts_itself(source) else min(own.values(), default=0.0)
    return {name: at - first + start for name, at in own.items()}


def _far(source: SourceOut, stamps: Sequence[Stamp], at: Mapping[str, float], middle: float) -> float:
    """Return how far a row lies off where that is too far to draw, else zero. [s]"""
    own = [at[stamp.name] for stamp in stamps if stamp.source == source["source_id"]]
    off = median(own) - middle if own else 0.0
    return off if abs(off) > _FAR_S else 0.0


def _view(
    stamps: Sequence[Stamp], at: Mapping[str, float], shown: tuple[float, float], zero: float
) -> tuple[float, float]:
    """Return the stretch of the first picture: every row near enough, while the arrest went on. [s]"""
    low, high = shown
    during = [one for one in stamps if one.time is None or low <= one.time <= high]
    edges = [low + zero, high + zero, *(at[one.name] for one in during)]
    room = _ROOM * (max(edges) - min(edges))
    return min(edges) - room, max(edges) + room


def _ticks(scale: Scale, hours: bool, zero: float | None = None) -> tuple[Tick, ...]:
    """Return ticks at times of day, or at minutes where the reference counts from its own zero.

    ``zero``: where time zero stands on the reference's clock, if that is what the axis counts from. [s]
    """
    step, start = step_of(scale.px_per_s), zero or 0.0
    first, last = math.ceil((scale.start + start) / step), math.floor((scale.end + start) / step)
    cut = 5 if step >= 60 else 8
    return tuple(
        Tick(
            at - start,
            of_day(at)[:cut] if hours else clock(at),
            "" if zero is None else clock(at - zero),
        )
        for at in (n * step for n in range(first, last + 1))
    )


def _strip(source: SourceOut, bounds: ClockOut, rows: Rows, after: Picture) -> Picture:
    """Lay out what is left between the marks of each pair, above zero where the reference reads later."""
    low, high = bounds["low"] - bounds["offset"], bounds["high"] - bounds["offset"]
    late = low - bounds["lag"][1]
    pairs = [pair for pair in pairs_of(source) if rows.time(pair["mark"]) is not None]
    left_over = [pair["residual"] for pair in pairs]
    most = max(map(abs, (*left_over, late, high)), default=0.0)
    top = next((float(edge) for edge in _ROUND_S if edge >= most), most)
    middle, lane = _STRIP_PX + 12, source["source_id"]

    def y(seconds: float) -> float:
        return middle - seconds / top * _STRIP_PX

    start, end = after.view
    items: list[Bar | Line | Mark | Wedge] = [
        *([Bar("late", "spread", lane, "", (), start, end, y(low), y(late))] if late < low else []),
        Bar("bounds", "bounds", lane, "", (), start, end, y(high) - 0.5, y(low) + 0.5),
        Line("zero", "clock_row", lane, "", (), (((start, middle), (end, middle)),)),
        *(
            Line(f"guide:{name}", "guide", lane, "", (), (((start, y(at)), (end, y(at))),))
            for name, at in (("top", top), ("bottom", -top))
        ),
        *(
            Mark(
                f"residual:{pair['mark']}",
                "residual",
                lane,
                say(
                    "clock_page.residual",
                    what=rows.by_name[pair["mark"]].what,
                    written=rows.by_name[pair["mark"]].written,
                    residual=residual_words(pair["residual"]),
                ),
                (pair["mark"], pair["other"]),
                rows.time(pair["mark"]) or 0.0,
                y(pair["residual"]),
            )
            for pair in pairs
        ),
    ]
    edges = (("guide:top", top, "earlier"), ("guide:bottom", -top, "later"))
    labels = [
        Label(
            name,
            start,
            y(at),
            "",
            say(f"clock_page.this_{side}", s=f"{top:g}"),
            "soft",
            11.5,
            "end",
            -14,
        )
        for name, at, side in edges
    ]
    return Picture(
        width=after.width,
        height=2 * middle + 58,
        left=after.left,
        right=after.right,
        axis_y=2 * middle,
        view=after.view,
        extent=after.extent,
        lanes=(Lane(lane, say("clock_page.residuals"), 12, 2 * middle - 12, "spine", middle),),
        ticks=after.ticks,
        minor=(),
        items=tuple(items),
        labels=tuple(labels),
        unplaced=(),
        caption=say("clock_page.residuals_caption_late" if late < low else "clock_page.residuals_caption"),
        description=say(
            "clock_page.residuals_description",
            count=len(pairs),
            low=f"{min(left_over, default=0.0):.0f}",
            high=f"{max(left_over, default=0.0):.0f}",
        ),
    )
