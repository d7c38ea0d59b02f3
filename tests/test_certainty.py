"""Bounds: around every value, no wider than a device's cells allow, and true about as often as they say."""

import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from debrief.assess import Asked, assess, assess_event
from debrief.model.event import Context, Event, Offset, Source
from debrief.model.marks import gate
from debrief.model.times import to_us
from debrief.words import KINDS
from tests.made import figures, row
from tests.strategies import FINE_S, PEOPLE, events, write


def measured(marks, draws, **told):
    """Return the figures of marks written to files, by name."""
    with tempfile.TemporaryDirectory() as folder:
        return figures(assess([write(marks, Path(folder) / "made", **told)], draws=draws).to_dict())


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(events(), PEOPLE)
def test_every_value_lies_within_its_bounds(marks, told):
    for name, figure in measured(marks, 60, **told).items():
        if figure["value"] is None:
            continue
        low, high = figure["low"], figure["high"]
        assert low is None or low <= figure["value"], (name, figure)
        assert high is None or figure["value"] <= high, (name, figure)


INTERVALS = (
    "time_to_first_compression",
    "time_to_first_shock",
    "time_to_first_epinephrine",
    "time_to_advanced_airway",
    "time_to_rosc",
    "rearrest_to_first_compression",
    "rearrest_to_first_shock",
    "rearrest_to_first_epinephrine",
    "rearrest_to_advanced_airway",
    "rearrest_to_rosc",
    "call_to_team_arrival",
    "onset_to_recognition",
    "pre_shock_pause_max",
    "post_shock_pause_max",
    "peri_shock_pause_max",
    "shock_interval",
    "epinephrine_interval_median",
    "rhythm_check_interval",
    "compressor_change_interval",
    "shockable_unshocked",
    "longest_pause",
    "last_compression_to_end",
    "resuscitation_duration",
)
"""Figures from one mark to another, or the median or largest of such."""


def logged(marks, cell_s):
    """Return marks as one device with an exact clock would have logged them."""
    step = max(cell_s, 0.5)
    return [
        mark
        | {"source": "monitor", "source_kind": "device", "cell": cell_s, "time": mark["time"] // step * step}
        for mark in marks
    ]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(events(), st.sampled_from([FINE_S, 1.0]))
def test_of_a_device_with_an_exact_clock_bounds_are_no_wider_than_two_cells_allow(marks, cell_s):
    """Each end of an interval lies in its own cell, so its length is known to a cell more and a cell less.

    But a shock in the cell of where compressions begin or end may have come on either side of it.
    """
    found = measured(logged(marks, cell_s), 60)
    shocks = [mark["time"] for mark in marks if mark["kind"] == "shock"]
    hands = [mark["time"] for mark in marks if KINDS[mark["kind"]].family == "compressions"]
    close = any(abs(shock - time) <= 2 for shock in shocks for time in hands)
    for name in INTERVALS:
        if close and name.endswith("shock_pause_max"):
            continue
        low, high = found[name]["low"], found[name]["high"]
        if name == "longest_pause" and high is not None and high < 1 + 2 * cell_s:
            continue  # a gap of just the shortest pause may be none
        if low is not None and high is not None:
            assert high - low <= 2 * cell_s + 1e-5, (name, found[name])


EVENTS = 200
"""Invented arrests of which the truth is known."""

OFF_S = 20
"""How far either way the sheet's clock may stand from the log's; nobody knows how far it does. [s]"""


def told(rng, alone):
    """Return one arrest as it went, and as it was written: by a sheet alone, or a log and a sheet.

    The sheet is written 0 to 60 s late, to the minute; its marks lie so far apart that their order is true.
    """
    doses = np.cumsum(rng.uniform(120, 600, 2))
    rosc = doses[-1] + rng.uniform(120, 900)
    start = rng.uniform(36_000, 40_000)
    off = 0 if alone else rng.uniform(-OFF_S, OFF_S)

    def sheet(time_s, kind, detail=None, **more):
        pen = start + time_s + off + rng.uniform(0, 60)
        return row(pen // 60 * 60 + 30, kind, detail, source="sheet", cell_s=60, **more)

    def log(time_s, kind):
        return row((start + time_s) // 1 + 0.5, kind, source="log", cell_s=1)

    first = sheet if alone else log
    rows = [
        first(0, "recognition"),
        *(sheet(at, "drug", "epinephrine", amount=1, unit="mg", route="iv", place=f"d{at}") for at in doses),
        first(rosc, "rosc"),
    ]
    true = {
        "time_to_first_epinephrine": doses[0],
        "epinephrine_interval_median": doses[1] - doses[0],
        "time_to_rosc": rosc,
        "epinephrine_average_interval": (rosc - doses[0]) / 2,
    }
    return true, rows


def assessed(rows, alone):
    """Return the figures of rows, the sheet's clock known to agree within `OFF_S`."""
    around = None if alone else Offset(0, to_us(-OFF_S), to_us(OFF_S))
    sources = [Source("sheet", "sheet.csv", "person", "text", "clock", clock=around)]
    if not alone:
        sources.append(Source("log", "log.csv", "device", "text", "clock"))
    event = Event(Context("made"), tuple(sources), gate(rows), ())
    return figures(assess_event(event, Asked(draws=200)).to_dict())


@pytest.mark.parametrize(
    "alone", [True, False], ids=["a sheet alone", "a log and a sheet of uncertain clock"]
)
def test_the_truth_lies_within_the_bounds_about_as_often_as_they_say(alone):
    """95 of 100 times, within what chance allows (one in a thousand); bounds are rounded outward."""
    rng = np.random.default_rng(20251106)
    inside: dict[str, int] = {}
    for _ in range(EVENTS):
        true, rows = told(rng, alone)
        found = assessed(rows, alone)
        for name, value in true.items():
            held = found[name]["low"] <= value <= found[name]["high"]
            inside[name] = inside.get(name, 0) + held

    for name, count in inside.items():
        exact = not alone and name == "time_to_rosc"  # both ends by the log: cells of a second
        low, high = binom.interval(0.999, EVENTS, 0.95)
        assert low <= count <= (EVENTS if exact else high), (name, count, inside)
