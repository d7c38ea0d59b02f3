"""What sensors, capnographs and sheets add: the slow reading again, for any patient and part of the event."""

import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from debrief.assess import assess
from debrief.measures import CORE
from tests.reference import reference
from tests.reference_course import TICKS
from tests.strategies import PEOPLE, events, write
from tests.test_against_reference import same


def population_of(told):
    """Return whom event.json is about: as it says, else by age (under 1 year, under 18), else an adult."""
    by_age = {"age_years": 40} | told
    age = by_age["age_years"]
    return told.get("population", "infant" if age < 1 else "child" if age < 18 else "adult")


def flags(report):
    """Return the source and the manual flag of each tick of the report's hands-on stretches."""
    return {
        tick: (row["source_id"], row["manual"])
        for row in report["hands_on"]
        for tick in range(round(row["start"] * TICKS), round(row["end"] * TICKS))
    }


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(events(), PEOPLE, st.sampled_from([1.0, 1.0, 2.0]), st.sampled_from([None, None, 60, 90, 600]))
def test_every_figure_of_anybody_is_that_of_the_slow_reading(marks, told, min_pause_s, window_s):
    """All figures, the first fraction what if, and who compressed, also of the first stretch alone."""
    window = "whole" if window_s is None else f"first:{window_s}s"
    with tempfile.TemporaryDirectory() as folder:
        path = write(marks, Path(folder) / "made", **told)
        report = assess([path], draws=0, min_pause_s=min_pause_s, window=window).to_dict()

    expected = reference(
        marks,
        min_pause_s,
        population=population_of(told),
        weight_kg=told.get("weight_kg"),
        window_s=window_s,
    )
    found = {figure["name"]: figure["value"] for figure in report["figures"]}
    assert found.keys() - expected["figures"].keys() == {"completeness"}
    for name, value in expected["figures"].items():
        assert same(found[name], value), (name, found[name], value)
    assert same(report["parameters"]["what_if_fraction"], expected["what_if_fraction"])
    assert flags(report) == expected["hands_on"]
    known = sum(found[name] is not None for name in CORE)
    assert known / len(CORE) <= found["completeness"] <= 1
