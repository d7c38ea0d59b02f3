"""Events made by hypothesis, measured from their files, agree figure by figure with the slow reading."""

import math
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from debrief.assess import assess
from tests.reference import reference
from tests.strategies import events, mark, write

LISTS = {
    "episodes": ("start", "end", "opened_by", "closed_by", "implied"),
    "pauses": ("start", "end", "cause", "also", "episode"),
    "shocks": ("time", "energy", "episode", "pre_shock_pause", "post_shock_pause", "peri_shock_pause"),
    "doses": ("time", "drug", "counted", "gap", "episode"),
    "by_minute": ("start", "end", "fraction", "longest_pause", "coverage", "delivered"),
}


def measured(marks, min_pause_s=1.0):
    """Return what the package makes of the marks, in the shape of the slow reading."""
    with tempfile.TemporaryDirectory() as folder:
        path = write(marks, Path(folder) / "made")
        report = assess([path], draws=0, min_pause_s=min_pause_s).to_dict()
    first = report["first_rhythm"]
    answer = {name: [{key: row[key] for key in keys} for row in report[name]] for name, keys in LISTS.items()}
    return answer | {
        "figures": {figure["name"]: figure["value"] for figure in report["figures"]},
        "time_zero_basis": report["time_zero"]["basis"],
        "first_rhythm": first and {key: first[key] for key in ("rhythm", "shockable")},
    }


def same(left, right):
    """Return whether two values are equal; each compression that stands alone lasts a microsecond."""
    if isinstance(left, int | float) and isinstance(right, int | float):
        return math.isclose(left, right, abs_tol=2e-5)
    return left == right


def agree(found, expected):
    """Check that the package says what the slow reading says."""
    assert found["time_zero_basis"] == expected["time_zero_basis"]
    for name, keys in LISTS.items():
        wanted = [{key: row[key] for key in keys} for row in expected[name]]
        assert len(found[name]) == len(wanted), (name, found[name], wanted)
        for row, other in zip(found[name], wanted, strict=True):
            assert all(same(row[key], other[key]) for key in keys), (name, row, other)
    assert found["first_rhythm"] == expected["first_rhythm"]
    for name, value in expected["figures"].items():
        assert same(found["figures"][name], value), (name, found["figures"][name], value)


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(events(), st.sampled_from([1.0, 1.0, 2.0, 3.0]))
def test_every_figure_is_that_of_the_slow_reading(marks, min_pause_s):
    """Structure, pauses with causes, shocks, doses, minutes and figures, for any event and least pause."""
    agree(measured(marks, min_pause_s), reference(marks, min_pause_s))


RECOGNISED = mark(0, "recognition")


def hands(*edges, source="sheet"):
    """Return starts and stops in turn."""
    kinds = ("compressions_start", "compressions_stop")
    return [mark(time, kinds[number % 2], source=source) for number, time in enumerate(edges)]


def singles(*times):
    """Return single compressions, written to a tenth of a second."""
    return [mark(time, "compression", "released", source="puck", amount=50, unit="mm") for time in times]


def dose(time, route):
    """Return one dose of epinephrine."""
    return mark(time, "drug", "epinephrine", amount=1, unit="mg", route=route)


def shock(time, source="monitor"):
    """Return one shock."""
    return mark(time, "shock", source=source, amount=200, unit="J")


CASES = {
    "compressions already under way at time zero": [
        RECOGNISED,
        *hands(-10, 100, 110, 300),
        mark(300, "rosc"),
    ],
    "no pause at all": [RECOGNISED, *hands(20, 295), mark(300, "rosc")],
    "a shock before the first compression": [
        RECOGNISED,
        shock(30),
        *hands(40, 100, 110, 290),
        mark(300, "rosc"),
    ],
    "stops only where the arrest ends": [
        *[RECOGNISED, *hands(20, 300), mark(300, "rosc"), mark(900, "rearrest")],
        *[*hands(905, 1000), mark(1000, "efforts_ended", "died")],
    ],
    "starts alone with a shock": [RECOGNISED, *hands(20), shock(100), mark(900, "rosc")],
    "starts alone and a re-arrest": [
        RECOGNISED,
        *hands(20),
        mark(300, "rosc"),
        *hands(900),
        mark(1000, "rosc"),
    ],
    "compressions across a ROSC": [
        RECOGNISED,
        *hands(20, 100, 110, 420),
        mark(300, "rosc"),
        mark(430, "rosc"),
    ],
    "compressions resumed in passing": [RECOGNISED, *hands(20, 100, 110, 300, 320, 350), mark(300, "rosc")],
    "compressions resumed for good": [RECOGNISED, *hands(20, 100, 110, 300, 320, 370), mark(300, "rosc")],
    "compressions resumed late": [RECOGNISED, *hands(20, 100, 110, 300, 340, 350), mark(300, "rosc")],
    "a shock long after a ROSC": [RECOGNISED, *hands(20, 100, 110, 300), mark(300, "rosc"), shock(400)],
    "a pulse lost again": [
        *[RECOGNISED, *hands(20, 100, 110, 300), mark(300, "rosc"), mark(600, "pulseless")],
        *[*hands(605, 700), mark(700, "rosc")],
    ],
    "a run that nobody stopped, and another": [
        *[RECOGNISED, *hands(20, 100, 110), mark(300, "rosc"), *hands(600, 700), mark(710, "rosc")],
    ],
    "a log that ends with a start": [RECOGNISED, *hands(20, 100, 110, 300, 325), mark(310, "note")],
    "a person's start where the device saw none": [
        *[RECOGNISED, *hands(20, 100, 110, 600, source="monitor"), *hands(20, 200, 210, 590, 640, 700)],
        mark(595, "rosc"),
    ],
    "a lone compression in a pause": [
        *[RECOGNISED, *singles(0, 0.5, 1, 1.5, 4, 8, 8.5, 9), mark(20, "rosc")],
    ],
    "a dose by two routes at once": [RECOGNISED, dose(200, "im"), dose(203, "iv"), mark(300, "rosc")],
    "a dose written twice": [
        RECOGNISED,
        dose(200, "iv"),
        dose(206, None),
        dose(212, "iv"),
        mark(300, "rosc"),
    ],
    "a rhythm, recognition and a pulse lost later": [
        *[
            mark(-5, "rhythm", "vf"),
            RECOGNISED,
            mark(10, "pulseless"),
            *hands(20, 100, 110),
            mark(300, "rosc"),
        ],
    ],
    "a first ROSC after a re-arrest": [
        *[RECOGNISED, *hands(20, 100, 110, 200), mark(210, "efforts_ended", "died"), mark(490, "rearrest")],
        *[*hands(495, 600), mark(620, "rosc"), mark(800, "rearrest"), *hands(805, 900), mark(900, "rosc")],
    ],
    "a shock in a re-arrest alone": [
        *[RECOGNISED, *hands(20, 100, 110, 200), mark(210, "rosc"), mark(490, "rearrest")],
        *[*hands(495, 600, 610, 700), shock(605), mark(720, "rosc")],
    ],
    "three shocks in one pause": [
        *[RECOGNISED, *hands(20, 100, 120, 300), shock(102), shock(108), shock(114), dose(200, "iv")],
        mark(310, "rosc"),
    ],
    "a pause of exactly the least length": [
        RECOGNISED,
        *hands(20, 100, 101, 200, 200.5, 290),
        mark(300, "rosc"),
    ],
    "pauses of exactly ten and twenty seconds": [
        *[RECOGNISED, *hands(20, 100, 110, 200, 220, 290), mark(300, "rosc")],
    ],
    "compressions that go on by themselves after a pause past a ROSC": [
        *[RECOGNISED, *hands(20, 100, 110, 300), mark(300, "rosc"), *hands(310)],
        *[mark(315, "pause", length=20), mark(600, "compressions_stop"), mark(700, "note")],
    ],
    "compressions first seen just after a ROSC": [
        *[RECOGNISED, mark(48, "rosc"), *hands(60, 70, 75, 80), mark(300, "note")],
    ],
    "extracorporeal flow": [RECOGNISED, *hands(20, 100, 110, 290), mark(400, "ecls_flow")],
}


@pytest.mark.parametrize("name", CASES)
def test_edges_of_the_definitions(name):
    """The same comparison on events that each stand on one edge."""
    marks = sorted(CASES[name], key=lambda row: row["time"])

    agree(measured(marks), reference(marks))
