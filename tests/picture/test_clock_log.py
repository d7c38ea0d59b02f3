"""The log in words."""

import pytest

from debrief.clocks.line import Line
from debrief.picture.clock_log import drift_sentence, error_words


@pytest.mark.parametrize(
    ("offset_s", "words"),
    [(0.3, "right"), (-0.4, "right"), (102, "1\u202fmin\u00a042\u202fs behind"), (-5, "5\u202fs ahead")],
)
def test_a_clock_is_right_behind_or_ahead(offset_s, words):
    assert error_words(round(offset_s * 1e6)) == words


@pytest.mark.parametrize(
    ("bounds_s", "words"),
    [
        (None, "is not known"),
        ((0.5, 0.2, 0.9), "It loses 0.50 s a day. From 0.20 to 0.90 s a day."),
        ((-0.5, -0.9, -0.2), "It gains 0.50 s a day. From 0.20 to 0.90 s a day."),
        ((0.1, -0.2, 0.4), "It may gain up to 0.20 or lose up to 0.40 s a day."),
    ],
)
def test_what_it_loses_or_gains_is_said_with_its_bounds(bounds_s, words):
    line = bounds_s and Line(bounds_s[0] * 1e6, 0.0, bounds_s[1] * 1e6, bounds_s[2] * 1e6)

    assert words in drift_sentence(line)
