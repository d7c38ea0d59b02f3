"""The axis of time: how much of it there is, what is shown first, its ticks, and what it counts from."""

import math
from collections.abc import Sequence
from typing import Literal

from debrief.model.contract import Occurrence, Report
from debrief.model.times import clock
from debrief.picture.captions import kind_words, label_words, wall_at
from debrief.picture.labels import text_width
from debrief.picture.plain import Tick
from debrief.picture.sheet import Scale
from debrief.words import say

_STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)
_TICK_PX = 58.0
_ROOM_S = 90.0
_ROOM = 0.15
"""Shown before and after the arrest: this share of it, or the seconds above where that is more."""
_ROOM_FOR_WORDS = 0.075
"""Shown after what ended the arrest: this share of it, so that its words with their time find room."""
_NAMED = 3
_CAPTION_PX = 12.0


def extent_of(report: Report) -> tuple[float, float]:
    """Return the stretch that holds everything, with a little room at both ends. [s]"""
    times = [0.0, report["end"]["time"]]
    times += [one["time"] for one in report["occurrences"]]
    times += [edge for episode in report["episodes"] for edge in (episode["start"], episode["end"])]
    low, high = min(times), max(times)
    span = max(high - low, 60.0)
    closed = max([high, *(one["end"] + span * (_ROOM_FOR_WORDS - 0.02) for one in report["episodes"])])
    return low - span * 0.006, max(closed, low + span) + span * 0.02


def arrest_of(report: Report, extent: tuple[float, float]) -> tuple[float, float]:
    """Return the stretch worth showing first: the arrest, and a little before and after it. [s]"""
    edges = [edge for one in report["episodes"] for edge in (one["start"], one["end"])]
    if not edges:
        return extent
    low, high = min(0.0, *edges), max(edges)
    room = max(_ROOM_S, (high - low) * _ROOM)
    times = [one["time"] for one in report["occurrences"]]
    first = min([low, *(time for time in times if low - room <= time)])
    least = max(room / 4, (high - low) * _ROOM_FOR_WORDS)
    last = max([high + least, *(time for time in times if time <= high + room)])
    span = last - first
    return max(extent[0], first - span * 0.006), min(extent[1], last + span * 0.02)


def step_of(per_s: float) -> int:
    """Return how far ticks lie apart at a scale of that many pixels a second. [s]"""
    return next((step for step in _STEPS_S if step * per_s >= _TICK_PX), _STEPS_S[-1])


def ticks(report: Report, scale: Scale, extent: tuple[float, float]) -> tuple[Tick, ...]:
    """Return ticks at a sensible step, over the view and a view's length to each side."""
    step = step_of(scale.px_per_s)
    span = scale.end - scale.start
    low, high = max(extent[0], scale.start - span), min(extent[1], scale.end + span)
    places = range(math.ceil(low / step), math.floor(high / step) + 1)
    return tuple(Tick(at * step, clock(at * step), wall_at(report, at * step)) for at in places)


def minor(scale: Scale, extent: tuple[float, float]) -> tuple[float, ...]:
    """Return the minutes between the ticks, where they would not crowd. [s]"""
    step = step_of(scale.px_per_s)
    if step <= 60 or 60 * scale.px_per_s < 14:
        return ()
    minutes = range(math.ceil(extent[0] / 60), math.floor(extent[1] / 60) + 1)
    return tuple(float(at * 60) for at in minutes if at * 60 % step)


def caption(report: Report, shown: tuple[float, float], room: float) -> str:
    """Return what the axis counts from, in words, and what is not in view, as far as there is room. [px]"""
    basis = report["time_zero"]["basis"]
    if zero_is_assumed(report):
        marks = set(report["time_zero"]["marks"])
        first = next((one for one in report["occurrences"] if marks & set(one["marks"])), None)
        text = say("picture.zero.assumed")
        if first is not None:
            text = say("picture.zero.assumed_at", what=kind_words(first["kind"]))
    else:
        text = _basis(basis)
    wall = wall_at(report, 0.0)
    axis = say("picture.axis_wall", basis=text, wall=wall) if wall else say("picture.axis", basis=text)
    earlier, later = _not_in_view(report, shown)
    for most in range(_NAMED, -1, -1):
        told = [
            _told("earlier", earlier[-most:] if most else [], earlier),
            _told("later", later[:most], later),
        ]
        line = " · ".join([axis, *filter(None, told)])
        if text_width(line, _CAPTION_PX) <= room:
            break
    return line


def _not_in_view(report: Report, shown: tuple[float, float]) -> tuple[list[Occurrence], list[Occurrence]]:
    """Return what lies before and after the view, so that it never looks like nothing happening."""
    marks = [one for one in report["occurrences"] if one["kind"] != "compression"]
    return [one for one in marks if one["time"] < shown[0]], [one for one in marks if one["time"] > shown[1]]


def _told(side: Literal["earlier", "later"], named: Sequence[Occurrence], those: Sequence[Occurrence]) -> str:
    """Return what is not in view: the nearest by name, then how many more; empty where there is nothing."""
    if not those:
        return ""
    if not named:
        return say(f"picture.{side}_count", count=len(those))
    names = [f"{label_words(one)} {clock(one['time'])}" for one in named]
    more = len(those) - len(named)
    return say(
        f"picture.{side}", what=", ".join([*names, *([say("picture.and_more", count=more)] if more else [])])
    )


def _basis(basis: str) -> str:
    try:
        return say(f"picture.zero.{basis}")
    except KeyError:
        return say("picture.zero.other", what=kind_words(basis))


def zero_is_assumed(report: Report) -> bool:
    """Return whether nobody marked when the arrest was recognised."""
    return "assumed" in report["time_zero"]["basis"]
