"""ETCO2 in kPa and percent against the definitions of the units.

Source: NIST Special Publication 811 (2008 edition), appendix B.8, from memory of its table: millimetre of
mercury, conventional (mmHg) 1.333 224 E+02 Pa; standard atmosphere (atm) 1.013 25 E+05 Pa, exactly. In full
the conventional millimetre of mercury is 13.5951 g/cm3 x 9.80665 m/s2 x 1 mm = 133.322 387 415 Pa, exactly;
760 of them are a standard atmosphere to one part in seven million.

A reading in percent is a share of dry gas at 760 mmHg (common practice; neither the 47 mmHg of water vapour
nor the pressure of the day is taken off).
"""

import pytest

from debrief.words import UNITS
from tests.made import assessed, figures, row

MMHG_PA = 133.322387415
ATMOSPHERE_PA = 101_325


def lowest(amount, unit):
    """Return the lowest ETCO2 of an arrest with a tube in and one reading. [mmHg]"""
    canonical = UNITS[unit]
    rows = [
        row(0, "recognition"),
        row(10, "airway", "tube"),
        row(60, "etco2", amount=amount * canonical.factor, unit=canonical.canonical),
        row(600, "efforts_ended", "died"),
    ]
    return figures(assessed(rows).to_dict())["etco2_lowest"]["value"]


def test_the_millimetre_of_mercury_is_mercury_under_standard_gravity():
    assert 13_595.1 * 9.80665 * 1e-3 == pytest.approx(MMHG_PA, rel=1e-12)


@pytest.mark.parametrize("kilopascals", [0.5, 1.33, 2.0, 4.7, 6.0])
def test_a_reading_in_kilopascals_is_the_same_pressure(kilopascals):
    assert lowest(kilopascals, "kPa") * MMHG_PA == pytest.approx(kilopascals * 1000, rel=1e-9)


@pytest.mark.parametrize("percent", [0.5, 1.3, 5.0, 100.0])
def test_a_reading_in_percent_is_that_share_of_an_atmosphere(percent):
    assert lowest(percent, "percent") == pytest.approx(760 * percent / 100, rel=1e-12)
    assert lowest(percent, "percent") * MMHG_PA == pytest.approx(ATMOSPHERE_PA * percent / 100, rel=2e-7)


def test_ten_millimetres_of_mercury_are_about_one_and_a_third_kilopascals():
    """The limit of 10 mmHg at 20 min is written as 1.33 kPa where kPa is used."""
    assert lowest(1.33, "kPa") == pytest.approx(10, abs=0.03)


def test_a_reading_of_no_unit_is_never_taken_for_one():
    rows = [row(0, "recognition"), row(10, "airway", "tube"), row(60, "etco2", amount=12), row(600, "rosc")]

    assert figures(assessed(rows).to_dict())["etco2_lowest"]["value"] is None
