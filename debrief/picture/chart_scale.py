"""The sheet that a chart of many events is drawn on: points along, values up, lines across."""

import math
from collections.abc import Iterable, Iterator, Sequence

from debrief.model.values import value_words
from debrief.picture.plain import Bar, Label, Line, Mark, Picture, Tick

LEFT_PX, RIGHT_PX = 96.0, 128.0
TOP_PX, BOTTOM_PX = 44.0, 300.0
HEIGHT_PX = 370.0
_LABEL_PX = 70
"""Room for a label under the axis."""
_LINES = 6
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
_STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600)


class Scale:
    """Values from ``low`` to ``high`` up a chart. Shares always stand between 0 and 1."""

    def __init__(self, values: Iterable[float], unit: str, measure: str = "") -> None:
        self.unit, self.measure = unit, measure
        known = list(values)
        if unit in ("1", "") and all(0 <= value <= 1 for value in known):
            self.low, self.high, self.step = 0.0, 1.0, 0.2
            return
        least, most = min([0.0, *known]), max([0.0, *known]) or 1.0
        self.step = _step((most - least) / _LINES, unit)
        self.low = math.floor(least / self.step + 1e-9) * self.step
        self.high = math.ceil(most / self.step - 1e-9) * self.step

    def y(self, value: float) -> float:
        """Return where a value stands; what lies beyond an end stands at it. [px]"""
        up = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return BOTTOM_PX - up * (BOTTOM_PX - TOP_PX)

    def levels(self) -> list[float]:
        """Return the values at which lines go across."""
        count = round((self.high - self.low) / self.step)
        return [self.low + number * self.step for number in range(count + 1)]

    def words(self, value: float) -> str:
        """Return a value with its unit."""
        return value_words(value, "1" if self.unit == "" else self.unit, self.measure)


def _step(least: float, unit: str) -> float:
    if unit == "s":
        return next((float(step) for step in _STEPS_S if step >= least), math.ceil(least / 3600) * 3600.0)
    size: float = 10.0 ** math.floor(math.log10(least))
    step = next(step * size for step in _STEPS if step * size >= least * (1 - 1e-9))
    return max(step, 1.0) if unit in ("count", "d") else step


def levels(scale: Scale, view: tuple[float, float]) -> Iterator[Line]:
    """Yield the lines across."""
    for number, level in enumerate(scale.levels()):
        across = tuple((end, scale.y(level)) for end in view)
        yield Line(f"level:{number}", "guide", "values", "", (), (across,))


def level_labels(scale: Scale, view: tuple[float, float]) -> Iterator[Label]:
    """Yield the values of the lines across, left of them."""
    for number, level in enumerate(scale.levels()):
        words = scale.words(level)
        yield Label(f"level:{number}", view[0], scale.y(level), "", words, "soft", 11.5, "end", -12)


def thinned(ticks: Sequence[Tick], width: int) -> tuple[Tick, ...]:
    """Return as many ticks as there is room for, from the first on."""
    room = max(1, int((width - LEFT_PX - RIGHT_PX) / _LABEL_PX))
    return tuple(ticks[:: math.ceil(len(ticks) / room) or 1])


def sheet(
    width: int,
    view: tuple[float, float],
    ticks: Sequence[Tick],
    drawn: tuple[Sequence[Bar | Line | Mark], Sequence[Label]],
    said: tuple[str, str],
) -> Picture:
    """Return a chart as a picture; ``drawn``: items and labels, ``said``: caption and description."""
    items, labels = drawn
    return Picture(
        width=width,
        height=HEIGHT_PX,
        left=LEFT_PX,
        right=RIGHT_PX,
        axis_y=BOTTOM_PX + 6,
        view=view,
        extent=view,
        lanes=(),
        ticks=thinned(ticks, width),
        minor=(),
        items=tuple(items),
        labels=tuple(labels),
        unplaced=(),
        caption=said[0],
        description=said[1],
    )
