"""Compression depth in inches: an inch is 25.4 mm by definition.

Source: NIST Special Publication 811 (2008 edition), appendix B.8, from memory of its table: inch (in)
2.54 E-02 m, exactly (the international inch of 1959).
"""

import pytest

from debrief.assess import assess
from tests.made import figures
from tests.strategies import mark, write

INCH_MM = 25.4


def measured(depths, unit, folder):
    """Return the figures of compressions of these depths, written to a file."""
    singles = [
        mark(10 + n / 2, "compression", "released", source="puck", amount=depth, unit=unit)
        for n, depth in enumerate(depths)
    ]
    path = write([mark(0, "recognition"), *singles, mark(60, "rosc")], folder / unit)
    return figures(assess([path], draws=0).to_dict())


@pytest.mark.parametrize("inches", [1.5, 2.0, 2.1, 2.4])
def test_a_depth_in_inches_is_so_many_times_25_4_mm(inches, tmp_path):
    found = measured([inches] * 5, "in", tmp_path)["compression_depth_median"]

    assert (found["value"], found["unit"]) == (pytest.approx(inches * INCH_MM, rel=1e-12), "mm")


def test_two_inches_are_in_the_range_from_50_mm_and_two_and_a_half_are_not(tmp_path):
    """2 in = 50.8 mm; 2.4 in, the upper limit as printed beside 6 cm, is 60.96 mm and over it."""
    assert measured([2.0, 2.0, 2.4, 2.5], "in", tmp_path)["depth_in_range"]["value"] == 0.5


def test_inches_centimetres_and_millimetres_of_one_depth_agree(tmp_path):
    found = [
        measured([depth] * 4, unit, tmp_path)["compression_depth_median"]["value"]
        for depth, unit in ((2.0, "in"), (5.08, "cm"), (50.8, "mm"))
    ]

    assert found == pytest.approx([50.8] * 3, rel=1e-12)
