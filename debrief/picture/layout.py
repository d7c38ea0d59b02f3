"""One layout for screen, sheet and teaching file: the contract in, lanes, items, times and labels out.

What was done hangs above the spine, what was seen lies below it, all on one axis of seconds from time zero.
Nothing here knows a measure or a colour.
"""

import math
from collections.abc import Mapping

from debrief.model.contract import Occurrence, Report
from debrief.model.times import clock
from debrief.picture.captions import kind_words, wall_at
from debrief.picture.done import lay_drugs, lay_people, lay_shocks
from debrief.picture.minutes import lay_minutes
from debrief.picture.plain import Bar, Line, Mark, Picture, Tick, Wedge
from debrief.picture.ribbon import LONG_PAUSE_S, RIBBON_PX, first_compression, records_interruptions
from debrief.picture.seen import lay_breaths, lay_etco2, lay_readings, lay_rhythm, zigzag
from debrief.picture.sheet import Scale, Sheet, box, broken, drop_stems
from debrief.picture.spine import lay_spine
from debrief.words import say

_STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)
_TICK_PX = 58.0
_SINGLES_PX = 2.5
"""Single compressions are drawn once they stand this far apart."""


def lay_out(
    report: Report,
    view: tuple[float, float] | None = None,
    width: int = 1200,
    *,
    written: Mapping[str, str] | None = None,
) -> Picture:
    """Lay out an event.

    Parameters
    ----------
    report
        The contract of one event.
    view
        The stretch to show, from and to; all of it where None. Everything is laid out either way; words are
        placed for the view. [s]
    width
        How wide the whole picture will be, with the titles of the lanes. [px]
    written
        Marks by name (``source:place``) and their time as written, for hovering.

    Returns
    -------
    Picture
        Plain data for ``svg.paint`` and ``plotly.paint``.
    """
    extent = _extent(report)
    shown = view if view is not None and view[1] > view[0] else extent
    left = 122.0
    right = 40.0
    sheet = Sheet(report, Scale(*shown, left, width - right), written or {})
    occurrences = [one for one in report["occurrences"] if one["kind"] != "compression"]

    y = lay_people(sheet, occurrences, 14.0)
    y = lay_drugs(sheet, occurrences, y)
    ribbon = lay_shocks(sheet, occurrences, y, tip=RIBBON_PX - 6)
    y = lay_spine(sheet, ribbon)
    y = lay_minutes(sheet, y) + 16
    y = lay_rhythm(sheet, occurrences, y)
    y = lay_etco2(sheet, occurrences, y)
    y = lay_breaths(sheet, occurrences, y)
    y = lay_readings(sheet, occurrences, y)
    _singles(sheet, ribbon)
    drop_stems(sheet, ribbon)
    _zero(sheet, y)
    return Picture(
        width=width,
        height=y + 58,
        left=left,
        right=right,
        axis_y=y,
        view=shown,
        extent=extent,
        lanes=tuple(sheet.lanes),
        ticks=_ticks(report, sheet.scale, extent),
        minor=_minor(sheet.scale, extent),
        items=tuple(_in_order(sheet)),
        labels=tuple(sheet.labels),
        unplaced=tuple(dict.fromkeys(sheet.unplaced)),
        caption=_caption(report),
        description=_description(report, extent),
    )


def _extent(report: Report) -> tuple[float, float]:
    """Return the stretch that holds everything, with a little room at both ends. [s]"""
    times = [0.0, report["end"]["time"]]
    times += [one["time"] for one in report["occurrences"]]
    times += [edge for episode in report["episodes"] for edge in (episode["start"], episode["end"])]
    low, high = min(times), max(times)
    span = max(high - low, 60.0)
    return low - span * 0.006, max(high, low + span) + span * 0.02


def _step(per_s: float) -> int:
    return next((step for step in _STEPS_S if step * per_s >= _TICK_PX), _STEPS_S[-1])


def _ticks(report: Report, scale: Scale, extent: tuple[float, float]) -> tuple[Tick, ...]:
    """Return ticks at a sensible step, over the view and a view's length to each side."""
    step = _step(scale.px_per_s)
    span = scale.end - scale.start
    low, high = max(extent[0], scale.start - span), min(extent[1], scale.end + span)
    places = range(math.ceil(low / step), math.floor(high / step) + 1)
    return tuple(Tick(at * step, clock(at * step), wall_at(report, at * step)) for at in places)


def _minor(scale: Scale, extent: tuple[float, float]) -> tuple[float, ...]:
    """Return the minutes between the ticks, where they would not crowd. [s]"""
    step = _step(scale.px_per_s)
    if step <= 60 or 60 * scale.px_per_s < 14:
        return ()
    minutes = range(math.ceil(extent[0] / 60), math.floor(extent[1] / 60) + 1)
    return tuple(float(at * 60) for at in minutes if at * 60 % step)


def _singles(sheet: Sheet, ribbon: float) -> None:
    """Draw single compressions as strokes in the ribbon, once there is room to tell them apart."""
    if sheet.scale.px_per_s < _SINGLES_PX * 2:
        return
    span = sheet.scale.end - sheet.scale.start
    low, high = sheet.scale.start - span / 2, sheet.scale.end + span / 2
    times = [
        one["time"]
        for one in sheet.report["occurrences"]
        if one["kind"] == "compression" and low <= one["time"] <= high
    ]
    if times:
        path = zigzag(times, ribbon + 8, ribbon + RIBBON_PX - 8)
        hover = say("picture.hover.compressions", count=len(times))
        sheet.items.append(Line("compressions", "compressions", "spine", hover, (), (path,)))


def _assumed(report: Report) -> bool:
    return "assumed" in report["time_zero"]["basis"]


def _zero(sheet: Sheet, bottom: float) -> None:
    role = "zero_assumed" if _assumed(sheet.report) else "zero"
    boxes = [box(label, sheet.scale) for label in sheet.labels]
    paths = broken(sheet.scale, boxes, 0.0, 6.0, bottom)
    sheet.items.insert(0, Line("zero", role, "axis", say("picture.hover.zero"), (), paths))


def _in_order(sheet: Sheet) -> list[Bar | Line | Mark | Wedge]:
    """Return the items with hatches and pale bars at the bottom, all else in the order it was laid out."""
    depth = {"guide": 1, "zero": 1, "zero_assumed": 1, "hairline": 2, "hairline_drug": 2}
    depth |= {"spread": 3, "spread_drug": 3, "spread_shock": 3, "shock": 5, "cardioversion": 5}
    return sorted(sheet.items, key=lambda item: 0 if item.role == "not_seen" else depth.get(item.role, 4))


def _caption(report: Report) -> str:
    """Return what the axis counts from, in words."""
    basis = report["time_zero"]["basis"]
    if _assumed(report):
        marks = set(report["time_zero"]["marks"])
        first = next((one for one in report["occurrences"] if marks & set(one["marks"])), None)
        text = say("picture.zero.assumed")
        if first is not None:
            text = say("picture.zero.assumed_at", what=kind_words(first["kind"]))
    else:
        text = _basis(basis)
    wall = wall_at(report, 0.0)
    return say("picture.axis_wall", basis=text, wall=wall) if wall else say("picture.axis", basis=text)


def _basis(basis: str) -> str:
    try:
        return say(f"picture.zero.{basis}")
    except KeyError:
        return say("picture.zero.other", what=kind_words(basis))


def _description(report: Report, extent: tuple[float, float]) -> str:
    counts = _counts(report["occurrences"])
    long = sum(pause["length"] > LONG_PAUSE_S for pause in report["pauses"])
    lines = [
        say(
            "picture.description",
            start=clock(extent[0]),
            end=clock(extent[1]),
            shocks=counts.get("shock", 0),
            doses=counts.get("drug", 0),
            pauses=long,
        )
    ]
    start = first_compression(report)
    if start is not None and records_interruptions(report):
        end = max((span["end"] for span in report["hands_on"]), default=start)
        lines.append(say("picture.description_compressions", start=clock(start), end=clock(end)))
    times = [clock(one["end"]) for one in report["episodes"] if one["closed_by"] == "rosc"]
    if times:
        lines.append(say("picture.description_rosc", times=", ".join(times)))
    return " ".join(lines)


def _counts(occurrences: list[Occurrence]) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in occurrences:
        found[one["kind"]] = found.get(one["kind"], 0) + 1
    return found
