"""The timeline of a case as it grows: stretch by stretch, what is uncovered and what appears.

What goes on (hands on the chest, a rhythm, a curve) is uncovered as time passes. What stands for one moment
(a mark, its words, the seconds of a pause that has ended) appears whole then, and nothing sooner.
"""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from debrief.model.contract import Report
from debrief.picture.axis import arrest_of, extent_of
from debrief.picture.layout import lay_out
from debrief.picture.plain import Bar, Label, Line, Mark, Picture, Wedge, reach
from debrief.picture.sheet import Scale, box
from debrief.picture.svg import paint
from debrief.words import say

STRETCH_S = 1500.0
"""A longer event is shown in stretches of at most this length, one after the other. [s]"""
_WIDTHS_PX = (620, 680, 740, 800, 880, 960)
_SHAPE = 1.42
"""What a timeline is wide to high where it stands beside a column of sentences."""
_GOES_ON = ("run", "pause", "unseen", "circulation", "minutes")
_PATHS = frozenset(
    {"zero", "zero_assumed", "guide", "curve", "breaths", "compressions", "depth_guide", "two_lines"}
)

Item = Bar | Line | Mark | Wedge


@dataclass(frozen=True)
class Stretch:
    """A stretch of the timeline. ``start``, ``end``: when it is shown [s]; the rest as `Picture` has it.

    ``ground`` and ``marks`` are drawings of one size; each part of the second says in ``data-id`` when it
    appears [s].
    """

    start: float
    end: float
    picture: Picture
    ground: str
    marks: str


def grow(report: Report) -> list[Stretch]:
    """Return the timeline of an event, from a little before time zero to a little after its end."""
    start, end = arrest_of(report, extent_of(report))
    count = max(1, math.ceil((end - start) / STRETCH_S))
    edges = [start + (end - start) * number / count for number in range(count + 1)]
    return [_stretch(report, low, high, number) for number, (low, high) in enumerate(pairwise(edges))]


def _stretch(report: Report, start: float, end: float, number: int) -> Stretch:
    picture = _laid_out(report, (start, end))
    caption = say("case.axis")
    picture = replace(picture, caption=caption, description=say("case.timeline"))
    times = _Times(report, picture)
    seen = [item for item in picture.items if reach(item)[1] >= start and reach(item)[0] <= end]
    ground = [replace(item, id="", hover="", marks=()) for item in seen if _goes_on(item)]
    marks = [
        replace(item, id=_at(times.item(item)), hover="", marks=()) for item in seen if not _goes_on(item)
    ]
    labels = [
        replace(label, id=_at(times.label(label)), text=_text(picture, label)) for label in picture.labels
    ]
    return Stretch(
        start=start,
        end=end,
        picture=picture,
        ground=paint(replace(picture, items=tuple(ground), labels=()), "page", name=f"-ground-{number}"),
        marks=paint(
            replace(picture, items=tuple(marks), labels=tuple(labels)),
            "page",
            name=f"-marks-{number}",
            over=True,
        ),
    )


def _laid_out(report: Report, view: tuple[float, float]) -> Picture:
    """Return the layout whose shape comes nearest to that of the screen's part."""
    pictures = (lay_out(report, view, width) for width in _WIDTHS_PX)
    return min(pictures, key=lambda one: abs(math.log(one.width / one.height / _SHAPE)))


def _goes_on(item: Item) -> bool:
    """Return whether an item is uncovered as time passes, and does not stand for one moment."""
    if isinstance(item, Line):
        return item.role in _PATHS
    return isinstance(item, Bar) and (
        item.id.partition(":")[0] in _GOES_ON or (item.lane == "rhythm" and "/" not in item.id)
    )


def _text(picture: Picture, label: Label) -> str:
    """Return the words of a label without the length of a rhythm, which is not known as it begins."""
    item = picture.item(label.id)
    return "" if item is not None and item.lane == "rhythm" and isinstance(item, Bar) else label.text


def _at(time: float) -> str:
    return f"{time:.3f}"


class _Times:
    """When each part of a picture appears. [s]"""

    def __init__(self, report: Report, picture: Picture) -> None:
        self.report, self.picture = report, picture
        self.occurrences = {one["id"]: one["time"] for one in report["occurrences"]}
        self.end = picture.view[1]
        edge = picture.width - picture.right
        self.scale = Scale(*picture.view, picture.left, edge)

    def item(self, item: Item) -> float:
        """Return when an item appears."""
        return self._of(item.id, reach(item)[1])

    def label(self, label: Label) -> float:
        """Return when the words of an item appear: of what goes on, once time has passed beneath them."""
        item = self.picture.item(label.id)
        lane, _, name = label.id.partition(":")
        if lane == "guide":
            return self._first_of_curve(name.rpartition(":")[0])
        if (lane == "unseen" and name.partition(":")[0].isdecimal()) or lane == "run":
            return self.scale.start + (box(label, self.scale)[1] - self.scale.left) / self.scale.px_per_s
        return self._of(label.id, min(reach(item)[1], self.end) if item is not None else self.end)

    def _of(self, item_id: str, otherwise: float) -> float:
        base, _, part = item_id.partition("/")
        kind, _, name = base.partition(":")
        if kind == "occurrence":
            return self.occurrences[name]
        if kind == "episode":
            return self.report["episodes"][int(name)]["start" if part == "start" else "end"]
        if kind == "pause":
            return self.report["pauses"][int(name)]["end"]
        if kind == "minute":
            return self.report["by_minute"][int(name)]["end"]
        return otherwise

    def _first_of_curve(self, lane: str) -> float:
        curve = self.picture.item(f"curve:{lane}")
        return reach(curve)[0] if curve is not None else self.end
