"""What a chart of many events has and says before it is drawn: which points, in which order, what signals."""

from dataclasses import dataclass, replace

from debrief.cohorts.trends import Trend, TrendPoint
from debrief.model.values import value_words
from debrief.words import say

MOST_DRAWN = 60
"""More points than this cannot be told apart."""


@dataclass(frozen=True)
class Numbered:
    """A point that signals: its number on the chart, its place in the trend, its sentence."""

    number: int
    row: int
    label: str
    sentence: str


def numbered(trend: Trend) -> list[Numbered]:
    """Return the points that signal, in their order on the chart, each with a sentence."""
    rows = [row for row in order(trend) if trend.points[row].point.signal]
    return [
        Numbered(number, row, trend.points[row].label, say(f"trends.signal.{trend.points[row].point.signal}"))
        for number, row in enumerate(rows, start=1)
    ]


def order(trend: Trend) -> list[int]:
    """Return the places of points as they are drawn: units by their size, all else as it stands."""
    rows = list(range(len(trend.points)))
    if trend.by == "unit":
        rows.sort(key=lambda row: (trend.points[row].point.n or 0, trend.points[row].label))
    return rows


def latest(trend: Trend, most: int = MOST_DRAWN) -> Trend:
    """Return a trend with its last points alone, where it has more than can be told apart; a note says so."""
    gone = len(trend.points) - most
    if gone <= 0 or trend.by == "unit":
        return trend
    ended = [one for one in trend.phases if one.start <= gone]
    began = [replace(one, start=one.start - gone) for one in trend.phases if one.start > gone]
    frozen = ended[-1].baseline
    left = None if frozen is None else max(frozen - (gone - ended[-1].start), 0) or None
    first = replace(ended[-1], start=0, baseline=left)
    note = say("trends_page.latest", shown=most, points=len(trend.points))
    return replace(trend, points=trend.points[gone:], phases=(first, *began), notes=(note, *trend.notes))


def named(trend: Trend) -> str:
    """Return the measure that says how values of the chart are told; none where they are shares or counts."""
    return "" if trend.unit in ("1", "count", "d") else trend.cohort.measure


def told_value(trend: Trend, value: float) -> str:
    """Return a value of a chart with its unit."""
    return value_words(value, trend.unit or "1", named(trend))


def size_words(each: TrendPoint) -> str:
    """Return on how many events, or how much, a point rests, as far as that is shown."""
    return say("trends.hidden") if each.more.get("suppressed") else f"{each.point.n or 0:.0f}"


def point_words(trend: Trend, each: TrendPoint) -> str:
    """Return a point in a sentence: its value, of how many, its limits, what it signals."""
    point = each.point
    n = size_words(each)
    if point.value is None:
        few = each.more.get("suppressed")
        return say("trends_page.hover_few" if few else "trends_page.hover_unknown", label=each.label, n=n)
    parts = [say("trends_page.hover", label=each.label, value=told_value(trend, point.value), n=n)]
    if point.lower is not None and point.upper is not None:
        low = point.lower if point.value < 0 else max(point.lower, 0.0)
        parts.append(
            say(
                "trends_page.hover_limits", lower=told_value(trend, low), upper=told_value(trend, point.upper)
            )
        )
    said = "; ".join(parts) + "."
    return f"{said} {say(f'trends.signal.{point.signal}').capitalize()}" if point.signal else said
