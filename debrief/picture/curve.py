"""Who still waits for something, by time (Kaplan-Meier), laid out as a chart; painted by ``svg.paint``."""

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import asdict, replace

from debrief.cohorts.survival import Curve
from debrief.model.times import clock
from debrief.model.values import value_words
from debrief.picture.chart_scale import BOTTOM_PX, TOP_PX, Scale, level_labels, levels, sheet
from debrief.picture.plain import Bar, Label, Line, Mark, Picture, Tick
from debrief.picture.values import figure_title
from debrief.words import say

_MOST_STEPS = 240
_STEPS_S = (15, 30, 60, 120, 300, 600, 1200, 1800, 3600)


STEP_COLUMNS = ("time", "at_risk", "seen", "waiting", "low", "high")


def curve_csv(curve: Curve) -> str:
    """Return the steps of a curve as CSV; times in seconds, shares 0 to 1."""
    written = io.StringIO()
    writer = csv.DictWriter(written, STEP_COLUMNS, lineterminator="\n", extrasaction="ignore")
    writer.writeheader()
    writer.writerows(asdict(step) for step in curve.steps)
    return written.getvalue()


def curve_cells(curve: Curve) -> list[list[str]]:
    """Return the steps that are drawn as rows of words, below their heads."""
    heads = [say(f"trends_page.step.{name}") for name in STEP_COLUMNS]
    rows = []
    for step in thinned(curve).steps:
        shares = (step.waiting, step.low, step.high)
        told = (say("trends.nothing") if one is None else value_words(one, "1") for one in shares)
        rows.append([clock(step.time), str(step.at_risk), str(step.seen), *told])
    return [heads, *rows]


def lay_curve(curve: Curve, measure: str, width: int) -> Picture | None:
    """Lay out a curve; null where nothing was seen. The x of the picture is seconds from time zero.

    Parameters
    ----------
    measure
        What is waited for, as a figure's name.
    width
        How wide the picture will be. [px]
    """
    if not curve.steps:
        return None
    curve = thinned(curve)
    scale = Scale((), "1")
    last = max(curve.steps[-1].time, 1.0)
    view = (-0.02 * last, 1.04 * last)
    step = next((step for step in _STEPS_S if last / step <= 10), _STEPS_S[-1])
    ticks = [Tick(float(at), clock(at), "") for at in range(0, int(last) + 1, step)]
    items = [*levels(scale, view), *_items(curve, scale, view)]
    median = (
        say("trends_page.curve_median", time=clock(curve.median))
        if curve.median is not None
        else say("trends_page.curve_no_median")
    )
    said = say(
        "trends_page.curve_described", title=figure_title(measure), n=curve.n, seen=curve.seen, median=median
    )
    labels = [*level_labels(scale, view)]
    if curve.median is not None:
        words = say("trends_page.curve_median", time=clock(curve.median))
        labels.append(Label("median", curve.median, TOP_PX - 14, "", words, "ink", 11.5, "middle"))
    return sheet(width, view, ticks, (items, labels), (say("trends_page.axis_time"), said))


def thinned(curve: Curve) -> Curve:
    """Return a curve without the steps that lie so near to another that nobody could tell them apart."""
    if not curve.steps:
        return curve
    apart = curve.steps[-1].time / _MOST_STEPS
    kept = {math.floor(step.time / apart) if apart else 0: step for step in curve.steps}
    return replace(curve, steps=tuple(kept.values()))


def _items(curve: Curve, scale: Scale, view: tuple[float, float]) -> Iterator[Bar | Line | Mark]:
    ends = [*(step.time for step in curve.steps[1:]), view[1]]
    for number, (step, end) in enumerate(zip(curve.steps, ends, strict=True)):
        if step.low is not None and step.high is not None:
            box = (step.time, end, scale.y(step.high), scale.y(step.low))
            yield Bar(f"interval:{number}", "chart_baseline", "values", "", (), *box)
    path = [(0.0, scale.y(1.0))]
    for step in curve.steps:
        path += [(step.time, path[-1][1]), (step.time, scale.y(step.waiting))]
    path.append((view[1], path[-1][1]))
    if curve.median is not None:
        upright = ((curve.median, TOP_PX - 4), (curve.median, BOTTOM_PX))
        yield Line("median", "chart_new", "values", "", (), (upright,))
    yield Line("waiting", "chart_path", "values", "", (), (tuple(path),))
    for number, step in enumerate(curve.steps):
        told = scale.words(step.waiting)
        hover = say("trends_page.curve_step", time=clock(step.time), share=told, at_risk=step.at_risk)
        yield Mark(f"step:{number}", "reading", "values", hover, (), step.time, scale.y(step.waiting))
