"""The sheet that a layout is drawn on while it grows: the scale, the items so far, and how things hang."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from debrief.model.contract import Occurrence, Report
from debrief.picture.captions import hover_words
from debrief.picture.labels import Levels, label_width
from debrief.picture.plain import Anchor, Bar, Label, Lane, Line, Mark, Point, Wedge

ROW_PX = 17.0
_STUB_PX = 5.0
"""A shorter piece of a hairline between words is left out. [px]"""
TEXT_PX = 12.5
STEM_PX = 9.0
"""How far a label stands from its symbol."""


Box = tuple[float, float, float, float]
"""x0, x1, y0, y1. [px]"""


@dataclass(frozen=True)
class Scale:
    """Seconds to pixels. ``left`` and ``edge`` bound the plot. [px]"""

    start: float
    end: float
    left: float
    edge: float

    @property
    def px_per_s(self) -> float:
        """Pixels that a second takes."""
        return (self.edge - self.left) / (self.end - self.start)

    def px(self, seconds: float) -> float:
        """Return where a time lies. [px]"""
        return self.left + (seconds - self.start) * self.px_per_s

    def shows(self, seconds: float) -> bool:
        """Return whether a time lies in the view."""
        return self.start <= seconds <= self.end


@dataclass(frozen=True)
class Stem:
    """A hairline still to be drawn, from its symbol down to the spine. [s, px]"""

    id: str
    role: str
    lane: str
    x: float
    y: float


@dataclass
class Sheet:
    """What has been laid out so far."""

    report: Report
    scale: Scale
    written: Mapping[str, str]
    items: list[Bar | Line | Mark | Wedge] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    unplaced: list[str] = field(default_factory=list)
    lanes: list[Lane] = field(default_factory=list)
    stems: list[Stem] = field(default_factory=list)

    def lane(
        self,
        lane_id: str,
        title: str,
        y0: float,
        y1: float,
        group: Literal["done", "spine", "seen"],
        title_y: float | None = None,
    ) -> None:
        """Add a lane."""
        self.lanes.append(Lane(lane_id, title, y0, y1, group, (y0 + y1) / 2 if title_y is None else title_y))

    def spread(self, occurrence: Occurrence, lane: str, role: str, y: float) -> None:
        """Draw the pale bar that shows how uncertain a time is, where it can be seen at this scale."""
        low, high = occurrence["low"], occurrence["high"]
        if (high - low) * self.scale.px_per_s < 3:
            return
        marks = tuple(occurrence["marks"])
        hover = hover_words(self.report, occurrence, self.written)
        name = f"occurrence:{occurrence['id']}/spread"
        self.items.append(Bar(name, role, lane, hover, marks, low, high, y + 4.5, y + 8.0))


@dataclass(frozen=True)
class Hanging:
    """An occurrence to hang on a lane: candidates of words, longest first, and its looks."""

    occurrence: Occurrence
    texts: tuple[str, ...]
    role: str
    tone: str
    spread: str
    stem: str | None
    note: str = ""
    """More lines for hovering."""
    urgency: int = 0
    """Lower ones choose their place first."""


def hang(sheet: Sheet, lane: str, hangings: Sequence[Hanging], y: float, most_rows: int) -> float:
    """Hang occurrences with their words on as many rows as they need; return the height used. [px]

    What found no room for its words hangs as a symbol alone, in a free row or in one beneath the others.
    """
    scale = sheet.scale
    levels = Levels(most_rows, scale.left - 6, scale.edge + 8)
    foreign = [scale.px(0.0), *(scale.px(stem.x) for stem in sheet.stems)]
    alone: list[Hanging] = []
    for hanging in sorted(hangings, key=lambda one: (one.urgency, one.occurrence["time"])):
        time = hanging.occurrence["time"]
        x = scale.px(time)
        stem = None if hanging.stem is None else x
        found = _room(levels, x, stem, hanging.texts, foreign) if scale.shows(time) else None
        if found is None:
            alone.append(hanging)
            continue
        row, anchor, text = found
        dx = STEM_PX if anchor == "start" else -STEM_PX
        row_y = y + (row + 0.5) * ROW_PX
        name = f"occurrence:{hanging.occurrence['id']}"
        sheet.labels.append(Label(name, time, row_y, "", text, hanging.tone, TEXT_PX, anchor, dx))
        _put(sheet, lane, hanging, row_y)
    levels.close()
    for hanging in alone:
        row = 0
        if scale.shows(hanging.occurrence["time"]):
            x = scale.px(hanging.occurrence["time"])
            stem = None if hanging.stem is None else x
            row = levels.symbol_row(x - 5, x + 5, stem)
            levels.take(row, x - 5, x + 5, stem)
            sheet.unplaced.append(f"occurrence:{hanging.occurrence['id']}")
        _put(sheet, lane, hanging, y + (row + 0.5) * ROW_PX)
    return max(levels.used, 1) * ROW_PX


def _put(sheet: Sheet, lane: str, hanging: Hanging, y: float) -> None:
    """Draw the symbol of an occurrence, its uncertainty and, later, its hairline. [px]"""
    occurrence = hanging.occurrence
    name, marks = f"occurrence:{occurrence['id']}", tuple(occurrence["marks"])
    hover = hover_words(sheet.report, occurrence, sheet.written)
    if hanging.note:
        hover = f"{hover}\n{hanging.note}"
    sheet.spread(occurrence, lane, hanging.spread, y)
    sheet.items.append(Mark(name, hanging.role, lane, hover, marks, occurrence["time"], y))
    if hanging.stem is not None:
        sheet.stems.append(Stem(f"{name}/stem", hanging.stem, lane, occurrence["time"], y))


def _room(
    levels: Levels, x: float, stem: float | None, texts: Sequence[str], foreign: Sequence[float]
) -> tuple[int, Anchor, str] | None:
    """Find and take the best free place: long words, high up, to the right, crossing no hairline."""
    sides: tuple[Anchor, ...] = ("start", "end")
    best: tuple[float, int, Anchor, str, float, float] | None = None
    for shorter, text in enumerate(texts):
        wide = STEM_PX + label_width("", text, TEXT_PX)
        for leftwards, anchor in enumerate(sides):
            x0, x1 = (x - 5, x + wide) if anchor == "start" else (x - wide, x + 5)
            crossings = sum(x0 < other < x1 and abs(other - x) > 1 for other in foreign)
            for row in range(levels.count):
                cost = 10 * shorter + row + 0.6 * leftwards + 0.7 * crossings
                if (best is None or cost < best[0]) and levels.free(row, x0, x1, stem):
                    best = (cost, row, anchor, text, x0, x1)
    if best is None:
        return None
    _, row, anchor, text, x0, x1 = best
    levels.take(row, x0, x1, stem)
    return row, anchor, text


def drop_stems(sheet: Sheet, bottom: float) -> None:
    """Draw every hairline from its symbol down to the spine, broken where it would cross words. [px]"""
    boxes = [box(label, sheet.scale) for label in sheet.labels]
    drawn = [
        Line(stem.id, stem.role, stem.lane, "", (), broken(sheet.scale, boxes, stem.x, stem.y, bottom))
        for stem in sheet.stems
    ]
    sheet.items[:0] = drawn


def broken(
    scale: Scale, boxes: Sequence[Box], x: float, top: float, bottom: float
) -> tuple[tuple[Point, ...], ...]:
    """Return an upright line as the pieces that cross no words, given the boxes of words. [s, px]"""
    px = scale.px(x)
    crossed = sorted((y0, y1) for x0, x1, y0, y1 in boxes if x0 - 2 < px < x1 + 2 and top + 5 < y1 < bottom)
    paths = []
    for y0, y1 in crossed:
        if y0 > top + _STUB_PX:
            paths.append(((x, top), (x, y0)))
        top = max(top, y1)
    if bottom > top:
        paths.append(((x, top), (x, bottom)))
    return tuple(paths)


def box(label: Label, scale: Scale) -> Box:
    """Return the box a label takes."""
    wide = label_width(label.strong, label.text, label.size)
    x = scale.px(label.x) + label.dx
    x0 = {"start": x, "middle": x - wide / 2, "end": x - wide}[label.anchor]
    return x0, x0 + wide, label.y - label.size * 0.62, label.y + label.size * 0.62
