"""Small numbers are hidden, and cannot be worked out from what stands beside them."""

import json
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.cohorts.cohort import cohort
from debrief.cohorts.few import guarded, guarded_curve, too_few
from debrief.cohorts.points import Phase
from debrief.cohorts.survival import kaplan_meier
from debrief.cohorts.trends import trend
from debrief.errors import BadSetting
from debrief.picture.chart import lay_chart
from debrief.picture.trend_text import trend_text
from debrief.picture.trend_words import summary_lines

FEWEST = 5


def made(make, sizes, by="unit", chart=None, **but):
    rows = [
        make(unit=f"ward {number}", date=f"2026-{number + 1:02}-05", verdict="not_met" if one == 0 else "met")
        for number, size in enumerate(sizes)
        for one in range(size)
    ]
    return trend(cohort(rows, "time_to_first_shock", (), by), by, chart, **but)


def hidden(found):
    return [row for row, each in enumerate(found.points) if each.more["suppressed"]]


def test_a_small_unit_is_hidden_and_with_it_the_next_smallest(make):
    found = guarded(made(make, [3, 20, 9, 12]), FEWEST)
    told = found.to_dict()["points"]

    assert hidden(found) == [0, 2]
    assert {key for key, value in told[0].items() if value is not None} == {
        "label",
        "centre",
        "definitions",
        "suppressed",
    }
    assert told[1]["n"] == 20


def test_where_nothing_is_small_nothing_is_hidden(make):
    found = guarded(made(make, [5, 20, 9]), FEWEST)

    assert hidden(found) == []
    assert [each["n"] for each in found.to_dict()["points"]] == [5, 20, 9]


def test_without_a_limit_of_the_site_all_is_shown(make):
    found = made(make, [1, 2])

    assert guarded(found, None) is found
    assert "suppressed" not in found.to_dict()["points"][0]


def test_a_cohort_of_few_tells_neither_centre_nor_counts(make):
    found = guarded(made(make, [1, 2], by="month"), FEWEST)
    told = found.to_dict()

    assert (told["centre"], told["counted"], told["read"]) == (None, None, None)
    assert set(told["summary"].values()) == {None}
    assert "3" not in "".join(summary_lines(found.cohort, FEWEST))
    assert [point["value"] for point in told["points"]] == [None, None]


def test_a_phase_of_few_has_no_centre_of_its_own(make):
    found = guarded(made(make, [9, 9, 2, 2], by="month", phases=("2026-03",)), FEWEST)

    assert [each.point.centre is None for each in found.points] == [False, False, True, True]
    assert hidden(found) == [0, 1, 2, 3]


def test_text_and_picture_show_nothing_of_what_is_hidden(make):
    found = guarded(made(make, [3, 20, 9, 12]), FEWEST)
    text = trend_text(found)

    assert "hidden" in text
    assert "2 / 1" not in text  # of the small unit
    assert lay_chart(found, 900) is not None
    json.dumps(found.to_dict(), allow_nan=False)


def test_events_that_are_left_out_are_not_named(make):
    rows = [*(make() for _ in range(9)), make(event_id="e-known", ended_as="not_an_arrest")]
    found = guarded(trend(cohort(rows, "time_to_first_shock", (), "month"), "month"), FEWEST)

    assert found.to_dict()["excluded_events"] == {}
    assert "e-known" not in trend_text(found)


def test_points_that_are_single_events_are_refused(make):
    with pytest.raises(BadSetting, match="fewest_shown"):
        guarded(made(make, [4, 4], by="miss", chart="g"), FEWEST)


def test_a_curve_ends_where_few_are_watched():
    curve = kaplan_meier(range(1, 10), [True] * 9)

    assert [step.at_risk for step in guarded_curve(curve, FEWEST).steps] == [9, 8, 7, 6, 5]
    assert guarded_curve(kaplan_meier([1, 2], [True, True]), FEWEST).steps == ()


@given(
    st.lists(st.integers(0, 12), min_size=1, max_size=12),
    st.integers(2, 8),
    st.integers(0, 11),
    st.none() | st.integers(1, 4),
)
def test_what_is_hidden_among_points_of_one_centre_is_two_or_more_and_not_few(sizes, fewest, at, baseline):
    phases = [Phase(0, baseline)] + ([Phase(at, baseline)] if 0 < at < len(sizes) else [])
    gone = too_few(sizes, fewest, phases)
    starts = [phase.start for phase in phases] + [len(sizes)]
    for group in (range(len(sizes)), *(range(*pair) for pair in pairwise(starts))):
        settling = group if baseline is None or group == range(len(sizes)) else group[:baseline]
        unseen = [sizes[row] for row in settling if row in gone]
        told = [row for row in settling if sizes[row]]
        assert not any(0 < sizes[row] < fewest for row in settling if row not in gone)
        if unseen and sum(sizes[row] for row in told) >= fewest and len(told) > 1:
            assert len(unseen) >= 2
            assert sum(unseen) >= fewest
