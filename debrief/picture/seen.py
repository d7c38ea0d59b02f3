"""What was seen, below the spine: rhythm, ETCO2, other readings, breaths."""

import math
from collections.abc import Sequence

from debrief import words
from debrief.model.contract import Occurrence
from debrief.model.times import clock
from debrief.model.values import number
from debrief.picture.captions import hover_words, kind_words, label_words, length, plain, rhythm_words
from debrief.picture.labels import label_width, text_width
from debrief.picture.plain import Bar, Label, Line, Mark, Point
from debrief.picture.sheet import Hanging, Sheet, hang
from debrief.words import say

RHYTHM_PX = 26.0
CURVE_PX = 64.0
BREAK_S = 300.0
"""A curve is broken where nothing was read for longer than this, and the gap hatched. [s]"""
_MOST_POINTS = 90
"""More readings than this in one curve are drawn as the line alone."""
_LABELLED = ("rhythm", "rhythm_check", "pulse_check")


def lay_rhythm(sheet: Sheet, occurrences: list[Occurrence], y: float) -> float:
    """Lay out the rhythm as stretches from a label to the next, or to ROSC or the end. [px]"""
    labelled = [one for one in occurrences if one["kind"] in _LABELLED and one["detail"]]
    end = sheet.report["end"]["time"]
    last = max([end, *(one["time"] for one in occurrences)])
    breaks = [one["end"] for one in sheet.report["episodes"] if one["closed_by"] in {"rosc", "ecls_flow"}]
    if not labelled:
        end = end if end > 0 else sheet.scale.end
        _hatch(sheet, "rhythm", "unseen:rhythm", say("picture.no_rhythm"), 0.0, end, y, RHYTHM_PX)
    else:
        _hatched_label(sheet, 0.0, labelled[0]["time"], 0, y)
    for place, one in enumerate(labelled):
        arrest = one["detail"] not in words.RHYTHMS or words.RHYTHMS[one["detail"] or ""].arrest
        until = labelled[place + 1]["time"] if place + 1 < len(labelled) else end if arrest else last
        until = max(until, one["time"])
        back = min((at for at in breaks if one["time"] < at < until - 1), default=None) if arrest else None
        if back is not None:
            _hatched_label(sheet, back, until, place + 1, y)
            until = back
        _stretch(sheet, one, until, y)
    for one in occurrences:
        if one["kind"] in _LABELLED and not one["detail"]:
            hover = hover_words(sheet.report, one, sheet.written)
            name = f"occurrence:{one['id']}"
            sheet.items.append(
                Mark(name, "mark_small", "rhythm", hover, tuple(one["marks"]), one["time"], y - 5)
            )
    sheet.lane("rhythm", say("picture.lane.rhythm"), y, y + RHYTHM_PX, "seen")
    return y + RHYTHM_PX + 14


def _hatched_label(sheet: Sheet, x0: float, x1: float, place: int, y: float) -> None:
    if x1 - x0 > 1:
        _hatch(sheet, "rhythm", f"unseen:rhythm:{place}", say("picture.no_label"), x0, x1, y, RHYTHM_PX)


def _stretch(sheet: Sheet, one: Occurrence, until: float, y: float) -> None:
    rhythm = words.RHYTHMS.get(one["detail"] or "")
    arrest, shockable = (rhythm.arrest, rhythm.shockable) if rhythm else (True, False)
    pulse = rhythm is not None and rhythm.name in {"perfusing", "paced"}
    role = "rhythm_shockable" if shockable else "rhythm_pulse" if pulse and not arrest else "rhythm"
    name = f"occurrence:{one['id']}"
    short = rhythm_words(one["detail"] or "")
    span = until - one["time"]
    start, end = clock(one["time"]), clock(until)
    hover = say("picture.hover.rhythm", rhythm=short, start=start, end=end, length=length(span))
    hover = f"{hover}\n{hover_words(sheet.report, one, sheet.written)}"
    per_s = sheet.scale.px_per_s
    gap = min(2.0 / per_s, span * 0.3)
    sheet.items.append(
        Bar(name, role, "rhythm", hover, tuple(one["marks"]), one["time"], until - gap, y, y + RHYTHM_PX)
    )
    sheet.spread(one, "rhythm", "spread", y + RHYTHM_PX - 3)
    low, high = max(one["time"], sheet.scale.start), min(until, sheet.scale.end)
    room = (high - low) * per_s - 10
    for strong, text, size in ((short, length(span), 12.5), (short, "", 12.5), (short, "", 11)):
        if room >= label_width(strong, text, size):
            sheet.labels.append(Label(name, low, y + RHYTHM_PX / 2, strong, text, "ink", size, "start", 6))
            return
    if high > low:
        sheet.unplaced.append(name)


def _hatch(
    sheet: Sheet, lane: str, name: str, text: str, x0: float, x1: float, y: float, height: float
) -> None:
    """Hatch a stretch that nobody saw, with words in it where there is room."""
    if lane == "rhythm":
        hover = say("picture.hover.no_label", start=clock(x0), end=clock(x1))
    else:
        what = kind_words("etco2") if lane == "etco2" else plain(lane.rpartition(":")[2])
        hover = say("picture.hover.no_curve", what=what, start=clock(x0), end=clock(x1))
    sheet.items.append(Bar(name, "not_seen", lane, hover, (), x0, x1, y, y + height))
    low, high = max(x0, sheet.scale.start), min(x1, sheet.scale.end)
    if (high - low) * sheet.scale.px_per_s >= text_width(text, 12) + 10:
        sheet.labels.append(Label(name, (low + high) / 2, y + height / 2, "", text, "soft", 12, "middle"))


def _as_unit(one: Occurrence, unit: str) -> float | None:
    """Return an amount in another unit of the same dimension; None where it cannot be told."""
    if one["amount"] is None or one["unit"] is None:
        return None
    if one["unit"] == unit:
        return one["amount"]
    have, want = words.UNITS.get(one["unit"]), words.UNITS.get(unit)
    if have is None or want is None or have.dimension != want.dimension:
        return None
    return one["amount"] * have.factor / want.factor


def lay_etco2(sheet: Sheet, occurrences: list[Occurrence], y: float) -> float:
    """Lay out ETCO2 as a line with its readings; what cannot be converted goes to the readings. [px]"""
    readings = [one for one in occurrences if one["kind"] == "etco2" and one["unit"]]
    if not readings:
        return y
    units = [one["unit"] or "" for one in readings]
    unit = units[0] if len(set(units)) == 1 else "mmHg"
    title = say("picture.lane.etco2", unit="%" if unit == "percent" else unit)
    return _curve_lane(sheet, "etco2", title, readings, unit, y)


def lay_readings(sheet: Sheet, occurrences: list[Occurrence], y: float) -> float:
    """Lay out other readings as dots with words; one that was read very often as a curve of its own. [px]"""
    etco2 = [one for one in occurrences if one["kind"] == "etco2"]
    units = {one["unit"] for one in etco2 if one["unit"]}
    shown = next(iter(units)) if len(units) == 1 else "mmHg"
    left = [one for one in etco2 if _as_unit(one, shown) is None]
    by_detail: dict[str, list[Occurrence]] = {}
    for one in occurrences:
        if one["kind"] == "vital":
            by_detail.setdefault(one["detail"] or "", []).append(one)
    for detail, readings in by_detail.items():
        unit = readings[0]["unit"] or ""
        if len(readings) <= 24 or any(_as_unit(one, unit) is None for one in readings if one["unit"] != unit):
            left += readings
        else:
            title = f"{plain(detail)}, {'%' if unit == 'percent' else unit}" if unit else plain(detail)
            y = _curve_lane(sheet, f"reading:{detail}", title, readings, unit, y)
    if not left:
        return y
    hangings = [Hanging(one, (label_words(one),), "reading", "soft", "spread", None) for one in left]
    height = hang(sheet, "readings", hangings, y, most_rows=4)
    sheet.lane("readings", say("picture.lane.readings"), y, y + height, "seen")
    return y + height + 12


def lay_breaths(sheet: Sheet, occurrences: list[Occurrence], y: float) -> float:
    """Lay out single breaths as ticks, in one path. [px]"""
    times = [one["time"] for one in occurrences if one["kind"] == "ventilation"]
    if not times:
        return y
    hover = say("picture.hover.breaths", count=len(times))
    sheet.items.append(Line("breaths", "breaths", "breaths", hover, (), (zigzag(times, y, y + 12),)))
    sheet.lane("breaths", say("picture.lane.breaths"), y, y + 12, "seen")
    return y + 12 + 12


def zigzag(times: Sequence[float], y0: float, y1: float) -> tuple[Point, ...]:
    """Return one unbroken path with a stroke at every time: one node instead of thousands. [s, px]"""
    path: list[Point] = []
    for place, time in enumerate(times):
        path += [(time, y0), (time, y1)] if place % 2 == 0 else [(time, y1), (time, y0)]
    return tuple(path)


def comb(strokes: Sequence[tuple[float, float]], y: float) -> tuple[Point, ...]:
    """Return one unbroken path at a height, with a stroke down at every time, as long as it says. [s, px]"""
    return tuple(point for time, long in strokes for point in ((time, y), (time, y + long), (time, y)))


def scale_ends(values: Sequence[float]) -> tuple[float, float, list[float]]:
    """Return the ends of a scale that holds all values from zero on, and two or three round guides."""
    top = max([*values, 1e-9])
    bottom = min([*values, 0.0])
    power = 10.0 ** math.floor(math.log10(top - bottom))
    step = next(power * part for part in (0.5, 1, 2, 5, 10) if (top - bottom) / (power * part) <= 3.2)
    first = math.ceil(bottom / step)
    guides = [round(place * step, 9) for place in range(first, math.floor(top / step) + 1)]
    top = max(top * 1.04, guides[-1] + step if top > guides[-1] + step * 0.9 else top)
    return bottom, top, [*guides, *([guides[-1] + step] if top >= guides[-1] + step else [])]


def _curve_lane(
    sheet: Sheet, lane: str, title: str, readings: list[Occurrence], unit: str, y: float
) -> float:
    known = [(one, value) for one in readings if (value := _as_unit(one, unit)) is not None or not unit]
    known = [(one, one["amount"] if value is None else value) for one, value in known]
    points = [(one, float(value)) for one, value in known if value is not None]
    if not points:
        return y
    bottom, top, guides = scale_ends([value for _, value in points])

    def place_y(value: float) -> float:
        return y + CURVE_PX * (1 - (value - bottom) / (top - bottom))

    start, end = min(0.0, points[0][0]["time"]), max(sheet.report["end"]["time"], points[-1][0]["time"])
    first, last = points[0][0]["time"], points[-1][0]["time"]
    if first - start > 60:
        text = say("picture.not_measured_before", time=clock(first))
        _hatch(sheet, lane, f"unseen:{lane}:before", text, start, first, y, CURVE_PX)
    paths: list[list[Point]] = [[]]
    previous = first
    for one, value in points:
        if one["time"] - previous > BREAK_S:
            name = f"unseen:{lane}:{len(paths)}"
            _hatch(sheet, lane, name, say("picture.not_measured"), previous, one["time"], y, CURVE_PX)
            paths.append([])
        paths[-1].append((one["time"], place_y(value)))
        previous = one["time"]
    if end - last > BREAK_S:
        _hatch(sheet, lane, f"unseen:{lane}:after", say("picture.not_measured"), last, end, y, CURVE_PX)
    _guides(sheet, lane, guides, unit, first, end, place_y)
    hover = say("picture.hover.curve", what=title, count=len(points))
    sheet.items.append(Line(f"curve:{lane}", "curve", lane, hover, (), tuple(tuple(path) for path in paths)))
    if len(points) <= _MOST_POINTS:
        for one, value in points:
            hover = hover_words(sheet.report, one, sheet.written)
            name = f"occurrence:{one['id']}"
            sheet.items.append(
                Mark(name, "reading", lane, hover, tuple(one["marks"]), one["time"], place_y(value))
            )
    sheet.lane(lane, title, y, y + CURVE_PX, "seen")
    return y + CURVE_PX + 14


def _guides(
    sheet: Sheet, lane: str, guides: Sequence[float], unit: str, start: float, end: float, place_y: object
) -> None:
    for value in guides:
        at = place_y(value)  # type: ignore[operator]
        name = f"guide:{lane}:{number(value)}"
        hover = say("picture.hover.guide", value=number(value), unit=unit)
        sheet.items.append(Line(name, "guide", lane, hover, (), (((start, at), (end, at)),)))
        x = min(end, sheet.scale.end)
        sheet.labels.append(Label(name, x, at, "", number(value), "soft", 11.5, "start", 6))
