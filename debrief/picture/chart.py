"""A trend laid out as a chart: points, centre and limits by phase, signals, gaps. Painted by ``svg.paint``.

The x of the picture counts points from 0. A point that signals has another shape and a number, by which its
sentence is found.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby

from debrief.cohorts.trends import Trend, TrendPoint
from debrief.picture.chart_scale import (
    BOTTOM_PX,
    LEFT_PX,
    RIGHT_PX,
    TOP_PX,
    Scale,
    level_labels,
    levels,
    sheet,
)
from debrief.picture.chart_words import named, numbered, order, point_words, size_words
from debrief.picture.plain import Bar, Label, Line, Mark, Picture, Tick
from debrief.picture.values import figure_title
from debrief.words import say

POINT = "point:"
"""How the ids of points begin; the number of the point in the trend follows."""
_OVER_PX, _NOTE_PX, _UNDER_PX = 14.0, 14.0, 20.0
_HALF_BAR_PX = 5.0
_LIMITS = (("upper", "chart_limit"), ("lower", "chart_limit"))
_SPREAD = ("upper_quartile", "best")
_ENDS = (*_SPREAD, "lower_quartile", "worst")
_INNER = ("inner_upper", "inner_lower")


def lay_chart(trend: Trend, width: int) -> Picture | None:
    """Lay out a trend; null where it has no points.

    Parameters
    ----------
    width
        How wide the picture will be. [px]
    """
    if not trend.points:
        return None
    chart = _Chart(trend, width)
    view = (-0.5, len(trend.points) - 0.5)
    items = [*levels(chart.scale, view), *chart.items()]
    labels = [*level_labels(chart.scale, view), *chart.labels()]
    signals = len(numbered(trend)) + len(trend.signals)
    told = say("trends.no_signal")
    if trend.chart == "medians":
        told = say("trends.no_limits")
    elif signals:
        told = say("trends_page.count_signals" + ("_one" if signals == 1 else ""), count=signals)
    said = say(
        "trends_page.described",
        title=figure_title(trend.cohort.measure),
        by=say(f"trends.by.{trend.by}"),
        points=len(trend.points),
        signals=told,
    )
    ticks = [Tick(x, each.label, chart.size(each)) for x, each in chart.placed]
    return sheet(width, view, ticks, (items, labels), (say(f"trends_page.axis.{trend.by}"), said))


class _Chart:
    """A trend on its scale: where each point stands."""

    def __init__(self, trend: Trend, width: int) -> None:
        self.trend = trend
        self.half_bar = _HALF_BAR_PX * len(trend.points) / (width - LEFT_PX - RIGHT_PX)
        self.rows = order(trend)
        self.placed = [(float(x), trend.points[row]) for x, row in enumerate(self.rows)]
        self.number = {one.row: one for one in numbered(trend)}
        points = [each.point for each in trend.points]
        values = [point.value for point in points if point.value is not None]
        reach = [limit for point in points for limit in (point.upper, point.centre) if limit is not None]
        if min(values, default=0.0) < 0:  # what is never below zero has no limit there
            reach += [point.lower for point in points if point.lower is not None]
        reach += [each.more[name] for each in trend.points for name in _SPREAD if each.more.get(name)]
        self.asked = (
            [
                end
                for end in (trend.target["low"], trend.target["high"])
                if trend.target and trend.unit not in ("1", "count", "d") and end is not None
            ]
            if trend.target
            else []
        )
        self.scale = Scale([*values, *reach, *self.asked], trend.unit, named(trend))

    @staticmethod
    def size(each: TrendPoint) -> str:
        return say("trends_page.axis_n", n=size_words(each))

    def starts(self) -> list[float]:
        """Return where phases begin, and the end. Units have none."""
        found = [] if self.trend.by == "unit" else [float(phase.start) for phase in self.trend.phases]
        return [*(found or [0.0]), float(len(self.placed))]

    def items(self) -> Iterator[Bar | Line | Mark]:
        yield from self._baselines()
        for number, end in enumerate(self.asked):
            y = self.scale.y(end)
            across = ((-0.5, y), (len(self.placed) - 0.5, y))
            yield Line(f"target:{number}", "chart_target", "values", self._asked(), (), (across,))
        for name in _INNER:
            if any(name in each.more for each in self.trend.points):
                yield self._steps(name, "chart_inner", [each.more.get(name) for _, each in self.placed])
        for name, role in _LIMITS:
            yield self._steps(name, role, [getattr(each.point, name) for _, each in self.placed])
        yield self._steps("centre", "chart_centre", [each.point.centre for _, each in self.placed])
        for number, start in enumerate(self.starts()[1:-1], start=1):
            upright = ((start - 0.5, TOP_PX - 8), (start - 0.5, BOTTOM_PX))
            yield Line(f"phase:{number}", "chart_new", "values", "", (), (upright,))
        yield from self._spreads()
        if self.trend.by != "unit":
            yield self._path()
        for row, (x, each) in zip(self.rows, self.placed, strict=True):
            yield self._point(row, x, each)

    def _baselines(self) -> Iterator[Bar]:
        if self.trend.by == "unit":
            return
        for number, phase in enumerate(self.trend.phases):
            if phase.baseline is None:
                continue
            end = min(phase.start + phase.baseline, self.starts()[number + 1])
            yield Bar(
                f"baseline:{number}",
                "chart_baseline",
                "values",
                say("trends_page.baseline"),
                (),
                phase.start - 0.5,
                end - 0.5,
                TOP_PX,
                BOTTOM_PX,
            )

    def _steps(self, name: str, role: str, values: Sequence[float | None]) -> Line:
        """Return a line in steps, one a point, broken where a phase begins or there is no value."""
        starts = set(self.starts())
        paths: list[list[tuple[float, float]]] = []
        for (x, _), value in zip(self.placed, values, strict=True):
            if value is None:
                paths.append([])
                continue
            if x in starts or not paths:
                paths.append([])
            y = self.scale.y(value)
            paths[-1] += [(x - 0.5, y), (x + 0.5, y)]
        shown = tuple(tuple(path) for path in paths if path)
        return Line(name, role, "values", "", (), shown)

    def _spreads(self) -> Iterator[Bar]:
        """Yield what a point could also have been: by its uncertain events, or where its middle half lies."""
        words = self.scale.words
        for row, (x, each) in zip(self.rows, self.placed, strict=True):
            more = each.more
            bars = []
            if more.get("uncertain") and more.get("worst") is not None and more.get("best") is not None:
                said = {
                    "worst": words(more["worst"]),
                    "best": words(more["best"]),
                    "count": more["uncertain"],
                }
                hover = say("trends_page.hover_range", label=each.label, **said)
                bars.append(("range", more["worst"], more["best"], hover))
            if more.get("lower_quartile") is not None:
                low, high = more["lower_quartile"], more["upper_quartile"]
                hover = say("trends_page.hover_spread", label=each.label, low=words(low), high=words(high))
                bars.append(("spread", low, high, hover))
            for name, low, high, hover in bars:
                ends = self.scale.y(high), self.scale.y(low)
                yield Bar(
                    f"{name}:{row}",
                    f"chart_{name}",
                    "values",
                    hover,
                    (),
                    x - self.half_bar,
                    x + self.half_bar,
                    *ends,
                )

    def _path(self) -> Line:
        starts = set(self.starts())
        paths: list[list[tuple[float, float]]] = [[]]
        for x, each in self.placed:
            if x in starts or each.point.value is None:
                paths.append([])
            if each.point.value is not None:
                paths[-1].append((x, self.scale.y(each.point.value)))
        shown = tuple(tuple(path) for path in paths if len(path) > 1)
        return Line("path", "chart_path", "values", "", (), shown)

    def _point(self, row: int, x: float, each: TrendPoint) -> Bar | Mark:
        hover = point_words(self.trend, each)
        if each.point.value is None:
            return Bar(f"{POINT}{row}", "chart_gap", "values", hover, (), x - 0.5, x + 0.5, TOP_PX, BOTTOM_PX)
        role = "chart_signal" if each.point.signal else "chart_point"
        return Mark(f"{POINT}{row}", role, "values", hover, (), x, self.scale.y(each.point.value))

    def labels(self) -> Iterator[Label]:
        yield from self._gap_words()
        for row, (x, each) in zip(self.rows, self.placed, strict=True):
            if each.point.value is not None and row in self.number:
                ends = [each.point.value, *(each.more[name] for name in _ENDS if each.more.get(name))]
                low, high = self.scale.y(min(ends)), self.scale.y(max(ends))
                over = high - _OVER_PX if high - _OVER_PX > TOP_PX else low + _OVER_PX + 2
                yield Label(
                    f"{POINT}{row}", x, over, str(self.number[row].number), "", "warning", 12.5, "middle"
                )
        starts = self.starts()
        for number, phase in enumerate(() if self.trend.by == "unit" else self.trend.phases):
            if phase.label:
                y = TOP_PX - _NOTE_PX - (number % 2) * _NOTE_PX
                yield Label(
                    f"phase:{number}", starts[number] - 0.5, y, "", phase.label, "ink", 11.5, "start", 5
                )
            if phase.baseline is not None:
                words = say("trends_page.baseline")
                yield Label(
                    f"baseline:{number}",
                    phase.start - 0.5,
                    BOTTOM_PX - 9,
                    "",
                    words,
                    "soft",
                    11.0,
                    "start",
                    6,
                )
        yield from self._at_the_end()

    def _gap_words(self) -> Iterator[Label]:
        """Yield what gaps say, once for those side by side that say the same."""

        def words(placed: tuple[int, tuple[float, TrendPoint]]) -> str:
            each = placed[1][1]
            if each.point.value is not None:
                return ""
            return say("trends_page.few" if each.more.get("suppressed") else "trends_page.unknown")

        for told, side in groupby(zip(self.rows, self.placed, strict=True), words):
            gaps = list(side)
            if told:
                (row, (first, _)), (_, (last, _)) = gaps[0], gaps[-1]
                middle = (TOP_PX + BOTTOM_PX) / 2
                yield Label(f"{POINT}{row}", (first + last) / 2, middle, "", told, "soft", 11.0, "middle")

    def _at_the_end(self) -> Iterator[Label]:
        """Yield what the lines mean, right of the last point, apart from each other."""
        x, each = self.placed[-1]
        point = each.point
        wanted: list[tuple[str, float, str, str]] = []
        if point.centre is not None:
            words = say("trends_page.centre", value=self.scale.words(point.centre))
            wanted.append(("centre", self.scale.y(point.centre), words, "ink"))
        for name, _ in _LIMITS:
            limit = getattr(point, name)
            if limit is not None and self.scale.low <= limit:
                wanted.append((name, self.scale.y(limit), say(f"trends_page.limit_{name}"), "soft"))
        if self.asked:
            wanted.append(("target:0", self.scale.y(self.asked[0]), self._asked(), "drug"))
        lowest = TOP_PX - _UNDER_PX
        for name, y, words, tone in sorted(wanted, key=lambda one: one[1]):
            lowest = max(y, lowest + 15)
            yield Label(name, x + 0.5, lowest, "", words, tone, 11.5, "start", 8)

    def _asked(self) -> str:
        return say("trends_page.target", rule=self.trend.target["rule"] if self.trend.target else "")
