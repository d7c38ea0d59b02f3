"""A chart of a measure as plain text and as CSV."""

import csv
import io
from collections.abc import Iterator
from textwrap import wrap

from debrief.cohorts.points import Point
from debrief.cohorts.summary import is_few
from debrief.cohorts.trends import Trend, TrendPoint
from debrief.model.values import value_words
from debrief.picture.chart_words import size_words
from debrief.picture.text import WIDTH
from debrief.picture.values import figure_title
from debrief.words import say

IDS_SHOWN = 5
"""So many events that are left out are named, by reason; the rest is counted."""

EMPTY = ["label", "n", "value", "lower", "upper", "signal", "centre", "definitions"]
"""Columns where there is no point."""

_COUNTS = ("met", "not_met", "uncertain", "no_data")


def trend_text(trend: Trend, width: int = WIDTH) -> str:
    """Return a chart for reading: what it is of, who is in it, its points, its signals, what to mind."""
    lines = [say("trends.heading", title=figure_title(trend.cohort.measure), by=say(f"trends.by.{trend.by}"))]
    lines += wrap(say(f"trends.chart.{trend.chart}"), width)
    lines += [say("trends.asked", rule=target["rule"], by=target["edition"]) for target in trend.targets]
    lines += wrap(who_words(trend), width)
    lines += wrap(left_out_words(trend), width) if trend.cohort.left_out else []
    if trend.points:
        lines += ["", *_table(trend), ""]
        for each in trend.points:
            if each.point.signal:
                sentence = say(f"trends.signal.{each.point.signal}")
                lines += _item(say("trends.signal_at", label=each.label, sentence=sentence), width)
        for signal in trend.signals:
            lines += _item(say(f"trends.signal.{signal}"), width)
        if not trend.signals and not any(each.point.signal for each in trend.points):
            lines.append(say("trends.no_limits" if trend.chart == "medians" else "trends.no_signal"))
    for note in trend.notes:
        lines += _item(note, width)
    return "\n".join(lines)


def trend_csv(trend: Trend) -> str:
    """Return the points of a chart as CSV, one row a point, with the columns that points have in JSON."""
    made = trend.to_dict()
    columns = list(made["points"][0]) if made["points"] else EMPTY
    written = io.StringIO()
    writer = csv.DictWriter(written, ["measure", "by", "chart", *columns], lineterminator="\n")
    writer.writeheader()
    head = {name: made[name] for name in ("measure", "by", "chart")}
    writer.writerows(head | point for point in made["points"])
    return written.getvalue().removesuffix("\n")


def who_words(trend: Trend) -> str:
    """Return how many events were read, and how many of them count."""
    chosen = trend.cohort
    if is_few(len(chosen.rows), trend.fewest):
        return say("trends.few_events", fewest=trend.fewest)
    said = say("trends.who", read=chosen.read, counted=len(chosen.rows))
    if not chosen.filters:
        return said
    filters = ", ".join(f"{one.key}={one.wanted}" for one in chosen.filters)
    return f"{said} {say('trends.filtered', filters=filters, events=chosen.not_asked)}"


def left_out_words(trend: Trend) -> str:
    """Return how many events are left out by reason, some of them named."""
    parts = []
    for reason, ids in trend.cohort.left_out.items():
        named = ", ".join(ids[:IDS_SHOWN]) + ("" if len(ids) <= IDS_SHOWN else ", ...")
        why = say(f"trends.reason.{reason}")
        if trend.fewest:
            parts.append(say("trends.left_out_unnamed", events=len(ids), reason=why))
            continue
        parts.append(say("trends.left_out_one", events=len(ids), reason=why, ids=named))
    return say("trends.left_out", parts="; ".join(parts))


def _table(trend: Trend) -> Iterator[str]:
    counted = trend.points[0].more.keys() >= set(_COUNTS)
    heads = [say(f"trends.head.{name}") for name in ("label", "n", "value", "centre", "limits")]
    heads += [say(f"trends.head.{name}") for name in (("counts", "range") if counted else ())]
    rows = [heads, *([*_cells(trend, each), *(_counts(each) if counted else ())] for each in trend.points)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  ".join(map(str.ljust, row, widths)).rstrip()


def _cells(trend: Trend, each: TrendPoint) -> list[str]:
    point = each.point
    numbers = [_told(trend, value) for value in (point.value, point.centre)]
    label = say("trends.marked", label=each.label) if point.signal else each.label
    return [label, size_words(each), *numbers, _limits(trend, point)]


def _limits(trend: Trend, point: Point) -> str:
    """Return the limits; of a measure that is never below zero a limit below it is none."""
    if point.lower is None or point.upper is None:
        return ""
    values = [each.point.value for each in trend.points if each.point.value is not None]
    if point.lower < 0 <= min(values, default=0.0):
        return say("trends.up_to", high=_told(trend, point.upper))
    return _between(_told(trend, point.lower), _told(trend, point.upper))


def _counts(each: TrendPoint) -> list[str]:
    if each.more.get("suppressed"):
        return ["", ""]
    counts = " / ".join(str(each.more[name]) for name in _COUNTS)
    if not each.more["uncertain"]:
        return [counts, ""]
    return [counts, _between(*(value_words(each.more[name], "1", space=" ") for name in ("worst", "best")))]


def _between(low: str, high: str) -> str:
    return say("trends.between", low=low, high=high)


def _told(trend: Trend, value: float | None) -> str:
    if value is None:
        return say("trends.nothing")
    return value_words(value, trend.unit, "" if trend.unit == "1" else trend.cohort.measure, " ")


def _item(text: str, width: int) -> list[str]:
    return wrap(text, width, initial_indent="- ", subsequent_indent="  ")
