"""The first shock and the doses on a strip, each beside the stretch that is asked for, as plain data."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from debrief.model.contract import Dose, Figure, Occurrence, Report, Target, Verdict
from debrief.model.times import clock
from debrief.picture.axis import caption, minor, ticks
from debrief.picture.labels import Levels, label_width
from debrief.picture.plain import Bar, Label, Lane, Mark, Picture
from debrief.picture.sheet import STEM_PX, TEXT_PX, Scale
from debrief.picture.values import bounds_text, target_words, value_text, verdict_words
from debrief.words import say

ROW_PX = 46.0
_ZONE_PX = 16.0
_LEFT_PX = 122.0
_RIGHT_PX = 46.0
_GAPS = "epinephrine_interval_in_range"

ROLES: dict[Verdict, str] = {"met": "told_met", "not_met": "told_not_met", "uncertain": "told_uncertain"}
TONES: dict[Verdict, str] = {"not_met": "warning", "uncertain": "unclear"}


@dataclass(frozen=True)
class Told:
    """One thing that was done, where it was asked for, and in words what came of it. [s]

    ``zone`` is the stretch asked for, null where nobody asks or it does not apply.
    """

    id: str
    time: float
    low: float
    high: float
    zone: tuple[float, float] | None
    verdict: Verdict
    texts: tuple[str, ...]
    hover: str
    marks: tuple[str, ...]


def lay_strip(report: Report, width: int = 900) -> Picture | None:
    """Lay out when the first shock and the doses came, against what is asked. [px]

    Returns
    -------
    Picture or None
        A row for the first shock, one for the first epinephrine, one for the gaps between doses, each only
        where something was marked; None where nothing was.
    """
    rows = [(name, tuple(find(report))) for name, find in _ROWS]
    rows = [(name, told) for name, told in rows if told]
    if not rows:
        return None
    edges = [0.0]
    for _, told in rows:
        for one in told:
            edges += [one.time, one.low, one.high, *(one.zone or ())]
    span = max(edges) - min(edges) or 60.0
    extent = min(edges) - span * 0.01, max(edges) + span * 0.06
    scale = Scale(*extent, _LEFT_PX, width - _RIGHT_PX)
    items: list[Bar | Mark] = []
    labels: list[Label] = []
    unplaced: list[str] = []
    lanes: list[Lane] = []
    y = 10.0
    for name, told in rows:
        lanes.append(Lane(name, say(f"picture.strip.{name}"), y, y + ROW_PX, "spine", y + ROW_PX - 15))
        levels = Levels(1, scale.left - 6, width - 4.0)
        for one in told:
            items += _drawn(one, name, y)
            label = _label(one, scale, levels, y + 10)
            labels += [label] if label else []
            unplaced += [] if label else [one.id]
        y += ROW_PX
    bare: Report = {
        **report,
        "occurrences": [],
    }  # the caption then says what the axis counts from, and no more
    return Picture(
        width=width,
        height=y + 64,
        left=_LEFT_PX,
        right=_RIGHT_PX,
        axis_y=y + 6,
        view=extent,
        extent=extent,
        lanes=tuple(lanes),
        ticks=ticks(report, scale, extent),
        minor=minor(scale, extent),
        items=tuple(items),
        labels=tuple(labels),
        unplaced=tuple(unplaced),
        caption=caption(bare, extent, width - _LEFT_PX),
        description=" ".join(one.hover for _, told in rows for one in told),
    )


def _drawn(one: Told, lane: str, top: float) -> Iterator[Bar | Mark]:
    """Yield the stretch that is asked for, the bounds, and the mark. [px]"""
    y = top + ROW_PX - 15
    if one.zone:
        half = _ZONE_PX / 2
        yield Bar(f"{one.id}/zone", "zone", lane, one.hover, one.marks, *one.zone, y - half, y + half)
    if one.high > one.low:
        yield Bar(
            f"{one.id}/spread", "spread_shock", lane, one.hover, one.marks, one.low, one.high, y - 2, y + 2
        )
    yield Mark(one.id, ROLES.get(one.verdict, "told"), lane, one.hover, one.marks, one.time, y)


def _label(one: Told, scale: Scale, levels: Levels, y: float) -> Label | None:
    """Return the words over a mark, the longest that find room; None where none do. [px]"""
    x = scale.px(one.time)
    for text in one.texts:
        wide = label_width("", text, TEXT_PX)
        for anchor, x0 in (("start", x - STEM_PX / 2), ("end", x + STEM_PX / 2 - wide)):
            if levels.free(0, x0, x0 + wide, None):
                levels.take(0, x0, x0 + wide, None)
                dx = -STEM_PX / 2 if anchor == "start" else STEM_PX / 2
                tone = TONES.get(one.verdict, "ink")
                return Label(one.id, one.time, y, "", text, tone, TEXT_PX, "start" if dx < 0 else "end", dx)
    return None


def _first(report: Report, figure_name: str, kind: str, detail: str | None) -> Iterator[Told]:
    """Yield the first thing of a kind in the first episode, as its figure tells it."""
    figure = next((one for one in report["figures"] if one["name"] == figure_name), None)
    if figure is None or figure["value"] is None:
        return
    time = float(figure["value"])
    found = _behind(report, figure["marks"], kind, detail)
    asked = _asked(figure)
    verdict = figure["verdict"] if asked else "no_target"
    value = value_text(figure)
    told = say("picture.strip.told", value=value, verdict=verdict_words(verdict)) if asked else value
    bounds = f" ({bounds_text(figure)})" if bounds_text(figure) else ""
    hover = f"{say(f'picture.strip.{figure_name}')}: {value}{bounds}. {target_words(asked) if asked else ''}"
    low, high = (found["low"], found["high"]) if found else (time, time)
    zone = (asked["low"] or 0.0, asked["high"]) if asked and asked["high"] is not None else None
    marks = tuple(figure["marks"])
    yield Told(f"first:{kind}", time, low, high, zone, verdict, (told, value), hover.strip(), marks)


def _asked(figure: Figure) -> Target | None:
    """Return what is asked of a figure, where it is known to apply."""
    asked = figure["target"] or next(iter(figure["other_targets"]), None)
    return None if asked is None or asked["verdict"] in ("not_applicable", "no_data") else asked


def _behind(report: Report, marks: Sequence[str], kind: str, detail: str | None) -> Occurrence | None:
    those = (one for one in report["occurrences"] if one["kind"] == kind and detail in (None, one["detail"]))
    return next((one for one in those if set(one["marks"]) & set(marks)), None)


def _gaps(report: Report) -> Iterator[Told]:
    """Yield each counted dose of epinephrine after another, beside when it was asked for."""
    figure = next((one for one in report["figures"] if one["name"] == _GAPS), None)
    asked = next(iter(figure["other_targets"]), None) if figure else None
    for number, dose in enumerate(_doses(report)):
        if dose["gap"] is None:
            continue
        verdict: Verdict = dose["verdict"] or "no_target"
        found = _behind(report, dose["marks"], "drug", dose["drug"])
        before, gap = dose["time"] - dose["gap"], clock(dose["gap"])
        low, high = (asked["low"], asked["high"]) if asked else (None, None)
        zone = (before + low, before + high) if low is not None and high is not None else None
        told = say("picture.strip.told", value=gap, verdict=verdict_words(verdict))
        hover = say("picture.strip.gap", gap=gap, verdict=verdict_words(verdict), time=clock(dose["time"]))
        yield Told(
            id=f"gap:{number}",
            time=dose["time"],
            low=found["low"] if found else dose["time"],
            high=found["high"] if found else dose["time"],
            zone=zone,
            verdict=verdict,
            texts=(told, gap) if asked else (gap,),
            hover=hover,
            marks=tuple(dose["marks"]),
        )


def _doses(report: Report) -> list[Dose]:
    return [dose for dose in report["doses"] if dose["drug"] == "epinephrine" and dose["counted"]]


def _first_shock(report: Report) -> Iterator[Told]:
    return _first(report, "time_to_first_shock", "shock", None)


def _first_dose(report: Report) -> Iterator[Told]:
    return _first(report, "time_to_first_epinephrine", "drug", "epinephrine")


_ROWS = (
    ("time_to_first_shock", _first_shock),
    ("time_to_first_epinephrine", _first_dose),
    ("gaps", _gaps),
)
