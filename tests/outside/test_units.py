"""Factors of units against NIST Special Publication 811 (2008 edition), from memory of its tables.

Appendix B.8: millimeter of mercury, conventional (mmHg) 1.333224 E+02 Pa; inch 2.54 E-02 m;
minute 6.0 E+01 s. Table 5: SI prefixes. Section 6.2.3 and Table 6: litre, 1 L = 1 dm3.
"""

import pytest

from debrief.importers import amounts
from debrief.words import UNITS

PREFIX = {"milli": 1e-3, "micro": 1e-6, "centi": 1e-2, "kilo": 1e3}


@pytest.mark.parametrize(
    ("name", "canonical", "factor"),
    [
        ("mcg", "mg", PREFIX["micro"] / PREFIX["milli"]),
        ("g", "mg", 1 / PREFIX["milli"]),
        ("L", "mL", 1 / PREFIX["milli"]),
        ("cm", "mm", PREFIX["centi"] / PREFIX["milli"]),
        ("in", "mm", 2.54e-2 / PREFIX["milli"]),
        ("kPa", "mmHg", PREFIX["kilo"] / 1.333224e2),
        ("mcg/min", "mg/min", PREFIX["micro"] / PREFIX["milli"]),
        ("mg/h", "mg/min", 1 / 60),
    ],
)
def test_factor(name, canonical, factor):
    """Equal to the seven digits that the publication prints."""
    unit = UNITS[name]

    assert unit.canonical == canonical
    assert unit.factor == pytest.approx(factor, rel=5e-7)


@pytest.mark.parametrize("unit", UNITS.values(), ids=lambda unit: unit.name)
def test_the_canonical_unit_of_each_dimension_is_its_own(unit):
    canonical = UNITS[unit.canonical]

    assert (canonical.dimension, canonical.factor) == (unit.dimension, 1.0)


def test_units_with_factor_one_are_their_canonical_unit():
    """No two units are taken as equal without being so: mmol and mEq are not, nor rates by weight."""
    for unit in UNITS.values():
        assert (unit.factor == 1.0) == (unit.name == unit.canonical), unit.name


def test_no_word_means_two_units():
    seen = {}
    for unit in UNITS.values():
        for word in (unit.name, *unit.also):
            assert seen.setdefault(amounts._key(word), unit.name) == unit.name


@pytest.mark.parametrize(
    ("parts", "mg_per_ml"), [("1:1000", 1.0), ("1:10 000", 0.1), ("1:100 000", 0.01), ("1:200,000", 0.005)]
)
def test_ratio_strength_is_grams_in_millilitres(parts, mg_per_ml):
    """One gram in so many millilitres: the convention of labels of epinephrine (common practice)."""
    assert amounts.scan(f"1 mL {parts}").mg_per_ml == pytest.approx(mg_per_ml)
