"""A trend in sentences: its signals, what it comes to, what is not known. For the page and for paper."""

from collections.abc import Sequence
from itertools import groupby
from operator import attrgetter

from debrief.cohorts.cohort import Cohort
from debrief.cohorts.proportions import Tally, tally
from debrief.cohorts.summary import is_few, summary_of
from debrief.cohorts.trends import Trend
from debrief.model.values import value_words
from debrief.picture.chart_words import numbered
from debrief.picture.values import figure_title
from debrief.words import say

MOST_GAPS = 5


def signal_lines(trend: Trend) -> list[str]:
    """Return each signal with its numbers on the chart, then those of the chart as a whole."""
    points = []
    for sentence, group in groupby(numbered(trend), key=attrgetter("sentence")):
        first, *_, last = [*group] * 2
        blanks = {"first": first.label, "last": last.label, "sentence": sentence}
        if first is last:
            points.append(say("trends_page.signal", number=first.number, **blanks))
        else:
            points.append(say("trends_page.signals", from_=first.number, to=last.number, **blanks))
    whole = [say(f"trends.signal.{signal}") for signal in trend.signals]
    if not trend.points:
        return []
    none = say("trends.no_limits" if trend.chart == "medians" else "trends.no_signal")
    return [*points, *whole] or [none]


def summary_lines(chosen: Cohort, fewest: int | None = None) -> list[str]:
    """Return what all events that count come to: the share met with its interval, or the middle half.

    ``fewest``: of fewer events than this nothing is told, null for no such limit.
    """
    rows = chosen.rows
    if is_few(len(rows), fewest):
        return [say("trends.few_events", fewest=fewest)]
    found = summary_of(rows)
    lines = [] if found.counts is None else _share(found.counts, found.judged)
    if found.quartiles:
        low, middle, high = (
            value_words(value, rows[0].figure_unit, chosen.measure) for value in found.quartiles
        )
        lines.append(say("trends_page.median", median=middle, low=low, high=high))
    if found.missing:
        lines.append(say("trends_page.not_recorded", count=found.missing))
    return lines


def _share(counts: Tally, judged: bool) -> list[str]:
    share = counts.share
    if share.value is None or share.low is None or share.high is None:
        lines = [say("trends_page.share_none")]
    else:
        told = {name: value_words(getattr(share, name), "1") for name in ("low", "high")}
        value = value_words(share.value, "1")
        key = "trends_page.share" if judged else "trends_page.share_yes"
        lines = [say(key, share=value, met=share.count, n=share.n, **told)]
    if counts.uncertain and counts.worst.value is not None and counts.best.value is not None:
        ends = {"worst": value_words(counts.worst.value, "1"), "best": value_words(counts.best.value, "1")}
        lines.append(say("trends_page.range", count=counts.uncertain, **ends))
    return lines


def registry_line(chosen: Cohort, fewest: int | None = None) -> str:
    """Return what a registry's own measure comes to; of fewer events than ``fewest`` nothing is told."""
    counts = tally(row.outcome for row in chosen.rows)
    title = figure_title(chosen.measure)
    if is_few(counts.share.n, fewest):
        return f"{title}: {say('trends.few_events', fewest=fewest)}"
    if counts.share.value is None:
        return say("trends_page.registry_none", title=title)
    share = value_words(counts.share.value, "1")
    return say("trends_page.registry_share", title=title, share=share, met=counts.met, n=counts.share.n)


def gap_lines(gaps: Sequence[tuple[str, int]], chosen: Cohort) -> list[str]:
    """Return what to check first: why figures are not known, the reason of most events first."""
    if not gaps:
        return [say("trends_page.first_none")]
    events = len(chosen.rows)
    known = events - sum(count for _, count in gaps) + gaps[0][1]
    lines = [
        say("trends_page.first_one", count=count, because=because) for because, count in gaps[:MOST_GAPS]
    ]
    return [*lines, say("trends_page.first_settles", known=known, all=events)]
