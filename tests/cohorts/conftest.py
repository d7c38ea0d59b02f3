"""Rows of invented events, built by hand."""

import pytest

from debrief.cohorts.cohort import Row

TARGET = {
    "id": "first_shock",
    "rule": "at most 2 min",
    "low": None,
    "low_included": False,
    "high": 120.0,
    "high_included": True,
    "unit": "s",
    "kind": "guideline",
    "edition": "AHA 2020",
    "citation": "Invented for this test.",
    "basis": "seen",
    "judged": True,
    "verdict": "met",
}


@pytest.fixture
def target():
    return dict(TARGET)


@pytest.fixture
def make():
    """Make a row of an adult's event whose first shock met its target, but for what is said."""
    count = iter(range(10_000))

    def made(**but):
        number = next(count)
        known = {
            "event_id": f"e{number}",
            "date": "2026-03-04",
            "at": None,
            "unit": "Alder",
            "setting": None,
            "population": "adult",
            "shockable": True,
            "shift": None,
            "weekend": None,
            "witnessed": None,
            "monitored": None,
            "value": 100.0,
            "low": None,
            "high": None,
            "figure_unit": "s",
            "verdict": "met",
            "target": TARGET,
            "edition": "AHA 2020",
            "definitions": 1,
            "ended_as": None,
            "inputs": (f"sha{number}",),
        }
        return Row(**(known | but))

    return made
