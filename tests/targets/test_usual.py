"""Usual doses and energies: from the targets of an edition, by population and weight, and nowhere else."""

import pytest

from debrief.targets import editions, load
from debrief.targets.usual import usual

EDITION = load("AHA 2020")


@pytest.mark.parametrize(
    ("population", "weight_kg", "kind", "detail", "number", "amount", "unit"),
    [
        # AHA 2020 Part 3: 1 mg every 3 to 5 min; amiodarone first dose 300 mg
        ("adult", None, "drug", "epinephrine", 3, 1, "mg"),
        ("adult", 82, "drug", "amiodarone", 1, 300, "mg"),
        # AHA 2010, paediatric medications: 0.01 mg/kg, 1 mg at most; 5 mg/kg, 300 mg at most
        ("child", 18, "drug", "epinephrine", 1, 0.18, "mg"),
        ("child", 120, "drug", "epinephrine", 1, 1, "mg"),
        ("infant", 4, "drug", "amiodarone", 1, 20, "mg"),
        ("child", 70, "drug", "amiodarone", 1, 300, "mg"),
        # AHA 2020 Part 4: first 2 J/kg, second 4 J/kg
        ("child", 18, "shock", None, 1, 36, "J"),
        ("child", 18, "shock", None, 2, 72, "J"),
    ],
)
def test_one_amount_is_worked_out(population, weight_kg, kind, detail, number, amount, unit):
    found = usual(EDITION, population, weight_kg, kind, detail, number)

    assert (found.amount, found.unit) == (amount, unit)
    assert found.row.citation


@pytest.mark.parametrize("name", editions())
def test_an_adult_is_given_a_milligram_of_epinephrine_in_every_edition(name):
    """AHA 2020 Part 3, AHA 2025 Parts 7 and 9, ERC 2021 and 2025 adult life support: 1 mg, 3 to 5 min."""
    found = usual(load(name), "adult", 82, "drug", "epinephrine", 2)

    assert (found.amount, found.unit) == (1, "mg")
    assert "1 mg every 3 to 5 min" in found.row.citation


def test_a_range_and_a_weight_that_is_not_known_fill_in_nothing():
    later = usual(EDITION, "child", 18, "shock", None, 3)
    assert (later.low, later.high, later.amount) == (72, 180, None)
    newborn = usual(EDITION, "newborn_at_birth", 3, "drug", "epinephrine", 1)
    assert (newborn.low, newborn.high, newborn.amount) == (0.03, 0.09, None)
    assert usual(EDITION, "child", None, "drug", "epinephrine", 1).amount is None


def test_what_is_from_memory_is_never_filled_in():
    for name in editions():
        for population in ("adult", "child", "infant", "newborn_at_birth"):
            for detail in ("epinephrine", "amiodarone", "lidocaine"):
                found = usual(load(name), population, 20, "drug", detail, 1)
                if found and found.amount is not None:
                    assert found.row.basis != "memory"


@pytest.mark.parametrize(
    ("population", "kind", "detail", "number"),
    [
        ("adult", "shock", None, 1),  # the edition leaves it to the maker of the device
        ("adult", "drug", "atropine", 1),
        ("adult", "drug", "amiodarone", 2),
        ("newborn_at_birth", "shock", None, 1),
        ("adult", "rhythm", "vf", 1),
    ],
)
def test_where_no_target_names_one_there_is_none(population, kind, detail, number):
    assert usual(EDITION, population, 80, kind, detail, number) is None
