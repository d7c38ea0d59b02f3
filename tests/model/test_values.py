"""Values in words: how finely a value of each unit is told."""

import pytest

from debrief.model.values import THIN, beside, value_words


@pytest.mark.parametrize(
    ("value", "unit", "name", "text"),
    [
        (0.6747, "1", "chest_compression_fraction", "67 %"),
        (11.11, "s", "longest_pause", "11 s"),
        (9.94, "s", "longest_pause", "9.9 s"),
        (9.96, "s", "longest_pause", "10 s"),
        (75.2, "s", "longest_pause", "75 s"),
        (75.2, "s", "time_to_first_shock", "1:15"),
        (134.0, "s", "longest_pause", "2:14"),
        (111.6, "/min", "compression_rate", "112 per min"),
        (53.27, "mm", "compression_depth_median", "53 mm"),
        (2.0833, "J/kg", "energy_per_kg", "2.1 J/kg"),
        (0.00957, "mg/kg", "dose_per_kg", "0.01 mg/kg"),
        (0.0162, "mg/kg", "dose_per_kg", "0.016 mg/kg"),
        (300.0, "mg", "antiarrhythmic_dose", "300 mg"),
        (3.0, "count", "shocks_before_epinephrine", "3"),
        (2.0, "min", "registry_first_shock", "2 min"),
        (True, "", "any_rosc", "yes"),
        (0.0, "", "any_rosc", "no"),
    ],
)
def test_a_value_is_told_as_finely_as_it_means_anything(value, unit, name, text):
    """Shares in whole percent, pauses in seconds up to two minutes, doses by weight to a microgram."""
    assert value_words(value, unit, name, " ") == text
    assert value_words(value, unit, name) == text.replace(" ", THIN, 1)


def test_a_bound_is_told_in_the_form_of_the_other():
    """Where one end reads as minutes and seconds, so does the other."""
    assert beside(11.11, 134.0, "s", "longest_pause", " ") == "0:11"
    assert beside(11.11, 20.0, "s", "longest_pause", " ") == "11 s"
