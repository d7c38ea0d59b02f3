"""One layout for screen, sheet and teaching file: the contract in, lanes, items, times and labels out.

What was done hangs above the spine, what was seen lies below it, all on one axis of seconds from time zero.
Nothing here knows a measure or a colour.
"""

from collections.abc import Mapping

from debrief.model.contract import Occurrence, Report
from debrief.model.times import clock
from debrief.picture.axis import arrest_of, caption, extent_of, minor, ticks, zero_is_assumed
from debrief.picture.done import lay_drugs, lay_people, lay_shocks
from debrief.picture.minutes import lay_minutes
from debrief.picture.plain import Bar, Label, Line, Mark, Picture, Wedge
from debrief.picture.ribbon import LONG_PAUSE_S, RIBBON_PX, first_compression, records_interruptions
from debrief.picture.seen import comb, lay_breaths, lay_etco2, lay_readings, lay_rhythm
from debrief.picture.sheet import Scale, Sheet, box, broken, drop_stems
from debrief.picture.spine import lay_spine
from debrief.words import say

_SINGLES_S = 240.0
"""Single compressions are drawn in a view no longer than this."""
_DEEP_MM = 70.0
"""A stroke of this depth reaches through the ribbon."""
_GUIDE_MM = 50
"""Where a line stands by which depths can be read."""


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
        The stretch to show, from and to; where None the arrest with a little before and after it, and what
        lies further off is named in the caption. Everything is laid out either way; words are placed for the
        view. [s]
    width
        How wide the whole picture will be, with the titles of the lanes. [px]
    written
        Marks by name (``source:place``) and their time as written, for hovering.

    Returns
    -------
    Picture
        Plain data for ``svg.paint`` and ``plotly.paint``.
    """
    extent = extent_of(report)
    shown = view if view is not None and view[1] > view[0] else arrest_of(report, extent)
    left = 122.0
    right = 46.0
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
        ticks=ticks(report, sheet.scale, extent),
        minor=minor(sheet.scale, extent),
        items=tuple(_in_order(sheet)),
        labels=tuple(sheet.labels),
        unplaced=tuple(dict.fromkeys(sheet.unplaced)),
        caption=caption(report, shown, width - left + right - 20),
        description=_description(report, extent),
    )


def _singles(sheet: Sheet, ribbon: float) -> None:
    """Draw single compressions as strokes into the ribbon in a short view, as long as they were deep."""
    span = sheet.scale.end - sheet.scale.start
    if span > _SINGLES_S:
        return
    low, high = sheet.scale.start - span / 2, sheet.scale.end + span / 2
    near = [
        one
        for one in sheet.report["occurrences"]
        if one["kind"] == "compression" and low <= one["time"] <= high
    ]
    if not near:
        return
    depths = [one["amount"] for one in near if one["amount"] is not None]
    top, long = ribbon + 3.0, RIBBON_PX - 6.0
    strokes = [
        (one["time"], long * (0.75 if one["amount"] is None else min(one["amount"] / _DEEP_MM, 1.0)))
        for one in near
    ]
    if depths:
        hover = say(
            "picture.hover.depths", count=len(near), low=f"{min(depths):.0f}", high=f"{max(depths):.0f}"
        )
        y = top + long * _GUIDE_MM / _DEEP_MM
        sheet.items.append(Line("depth_guide", "depth_guide", "spine", "", (), (((low, y), (high, y)),)))
        words = say("picture.depth_guide", depth=_GUIDE_MM)
        sheet.labels.append(Label("depth_guide", sheet.scale.end, y, "", words, "soft", 11, "start", 5))
    else:
        hover = say("picture.hover.compressions", count=len(near))
    sheet.items.append(Line("compressions", "compressions", "spine", hover, (), (comb(strokes, top),)))


def _zero(sheet: Sheet, bottom: float) -> None:
    role = "zero_assumed" if zero_is_assumed(sheet.report) else "zero"
    boxes = [box(label, sheet.scale) for label in sheet.labels]
    paths = broken(sheet.scale, boxes, 0.0, 6.0, bottom)
    sheet.items.insert(0, Line("zero", role, "axis", say("picture.hover.zero"), (), paths))


def _in_order(sheet: Sheet) -> list[Bar | Line | Mark | Wedge]:
    """Return the items with hatches and pale bars at the bottom, all else in the order it was laid out."""
    depth = {"guide": 1, "zero": 1, "zero_assumed": 1, "hairline": 2, "hairline_drug": 2}
    depth |= {"spread": 3, "spread_drug": 3, "spread_shock": 3, "shock": 5, "cardioversion": 5}
    return sorted(sheet.items, key=lambda item: 0 if item.role == "not_seen" else depth.get(item.role, 4))


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
