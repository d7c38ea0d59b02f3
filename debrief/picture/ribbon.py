"""The ribbon: where it lies, how things are put on it, and what the contract says of hands-on time."""

from collections.abc import Sequence

from debrief.model.contract import Report
from debrief.picture.labels import Levels, label_width, text_width
from debrief.picture.plain import Bar, Label, Line
from debrief.picture.sheet import Sheet

RIBBON_PX = 44.0
SECONDS_PX = 18.0
LONG_PAUSE_S = 10.0

Span = tuple[float, float]


def outside(spans: Sequence[Sequence[float]], start: float, end: float) -> list[Span]:
    """Return the stretches of [start, end] that none of the spans covers. [s]"""
    left, at = [], start
    for low, high in sorted((span[0], span[1]) for span in spans):
        if low > at:
            left.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    if at < end:
        left.append((at, end))
    return [(low, high) for low, high in left if high > low]


def joined(spans: Sequence[Span]) -> list[Span]:
    """Return spans in time order with those that touch made one. [s]"""
    made: list[Span] = []
    for low, high in sorted(spans):
        if made and low <= made[-1][1]:
            made[-1] = (made[-1][0], max(made[-1][1], high))
        else:
            made.append((low, high))
    return made


def first_compression(report: Report) -> float | None:
    """Return when hands first were on the chest, by what was measured or else by what was marked. [s]"""
    starts = [span["start"] for span in report["hands_on"]]
    kinds = {"compressions_start", "mechanical_start", "compression"}
    starts += [one["time"] for one in report["occurrences"] if one["kind"] in kinds]
    return min(starts, default=None)


def records_interruptions(report: Report) -> bool:
    """Return whether any source could have seen hands come off."""
    return bool(report["covered"])


class Ribbon:
    """The ribbon at one place on the sheet."""

    def __init__(self, sheet: Sheet, top: float) -> None:
        self.sheet, self.scale, self.report = sheet, sheet.scale, sheet.report
        self.top, self.bottom, self.middle = top, top + RIBBON_PX, top + RIBBON_PX / 2
        self.beneath = Levels(1, self.scale.left - 8, self.scale.edge + 34, gap=4)

    def bar(
        self,
        name: str,
        role: str,
        hover: str,
        x0: float,
        x1: float,
        marks: Sequence[str] = (),
        inset: float = 0,
    ) -> None:
        """Add a bar as high as the ribbon, less an inset at both edges. [s, px]"""
        self.sheet.items.append(
            Bar(name, role, "spine", hover, tuple(marks), x0, x1, self.top + inset, self.bottom - inset)
        )

    def line(self, name: str, role: str, *paths: tuple[Span, ...]) -> None:
        """Add a line of one or more paths. [s, px]"""
        self.sheet.items.append(Line(name, role, "spine", "", (), paths))

    def words(
        self, name: str, text: str, x0: float, x1: float, tone: str = "soft", size: float = 12.0
    ) -> bool:
        """Write words in the middle of what is in view of a stretch, where there is room."""
        low, high = max(x0, self.scale.start), min(x1, self.scale.end)
        if (high - low) * self.scale.px_per_s < text_width(text, size) + 10:
            return False
        self.sheet.labels.append(Label(name, (low + high) / 2, self.middle, "", text, tone, size, "middle"))
        return True

    def words_beneath(self, name: str, x: float, strong: str, text: str = "", tone: str = "warning") -> bool:
        """Write words under the ribbon: bold ones, and plain ones beside them where there is room."""
        if not self.scale.shows(x):
            return False
        px = self.scale.px(x)
        for more in (text, "") if text and strong else (text,):
            half = label_width(strong, more, 12.5) / 2
            if self.beneath.free(0, px - half, px + half, None):
                self.beneath.take(0, px - half, px + half, None)
                y = self.bottom + SECONDS_PX / 2 + 2
                self.sheet.labels.append(Label(name, x, y, strong, more, tone, 12.5, "middle"))
                return True
        return False
