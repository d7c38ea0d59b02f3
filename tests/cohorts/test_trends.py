"""A measure over time and by unit: which chart, which points, what to mind."""

import json
from dataclasses import replace

import numpy as np
import pytest

from debrief.cohorts.cohort import cohort, filter_named
from debrief.cohorts.trends import trend
from debrief.errors import BadSetting
from debrief.words import say

KEYS = {"measure", "by", "chart", "target", "centre", "excluded", "points"}
POINT_KEYS = {"label", "n", "value", "lower", "upper", "signal"}


def drawn(rows, by="month", chart=None, measure="time_to_first_shock", filters=(), **but):
    return trend(cohort(rows, measure, filters, by), by, chart, **but)


def untold(make, value, **but):
    """A figure that nobody judges."""
    return make(value=value, verdict="no_target" if value is not None else "no_data", target=None, **but)


@pytest.fixture
def judged(make):
    """Two months: 3 met of 4 and one uncertain; 1 of 2 and one not recorded."""
    march = ["met", "met", "met", "not_met", "uncertain"]
    april = ["met", "not_met", "no_data"]
    return [make(verdict=verdict) for verdict in march] + [
        make(verdict=verdict, date="2026-04-01") for verdict in april
    ]


def test_what_is_judged_is_a_share_by_the_number_of_those_that_could_be_told(judged, target):
    found = drawn(judged).to_dict()
    march, april = found["points"]
    half = 3 * np.sqrt(4 / 6 * 2 / 6 / 4)

    assert found.keys() >= KEYS
    assert march.keys() >= POINT_KEYS
    assert (found["chart"], found["centre"]) == ("p", 4 / 6)
    assert found["target"] == {key: value for key, value in target.items() if key != "verdict"}
    assert (march["label"], march["n"], march["value"]) == ("2026-03", 4, 0.75)
    assert march["lower"] == pytest.approx(max(0, 4 / 6 - half))
    assert march["upper"] == min(1, 4 / 6 + half) == 1
    assert (april["n"], april["value"], april["no_data"]) == (2, 0.5, 1)


def test_what_is_uncertain_is_told_as_worst_and_best(judged):
    march = drawn(judged).to_dict()["points"][0]

    assert (march["uncertain"], march["worst"], march["best"]) == (1, 3 / 5, 4 / 5)
    assert say("trends.note_uncertain", events=1) in drawn(judged).notes


def test_yes_or_no_is_a_share_although_nobody_judges_it(make):
    rows = [untold(make, value, figure_unit="") for value in (True, True, False, None)]
    found = drawn(rows, measure="any_rosc").to_dict()

    assert (found["chart"], found["unit"]) == ("p", "1")
    assert (found["points"][0]["n"], found["points"][0]["value"]) == (3, 2 / 3)


def test_what_nobody_judges_is_a_median_with_limits_from_ranges(make):
    values = {"2026-01-05": [60, 80, 100], "2026-02-05": [90, None], "2026-03-05": [70, 90]}
    rows = [untold(make, value, date=day) for day, month in values.items() for value in month]
    found = drawn(rows, measure="resuscitation_duration").to_dict()
    point = found["points"][0]

    assert (found["chart"], found["unit"], found["target"]) == ("xmr", "s", None)
    assert [each["value"] for each in found["points"]] == [80, 90, 80]
    assert [each["n"] for each in found["points"]] == [3, 1, 2]
    assert found["centre"] == pytest.approx(250 / 3)
    assert (point["lower"], point["upper"]) == pytest.approx((250 / 3 - 26.6, 250 / 3 + 26.6))
    assert (point["lower_quartile"], point["upper_quartile"]) == (70, 90)
    assert say("trends.note_missing", events=1) in found["notes"]


def test_units_are_a_funnel_where_judged_and_medians_without_limits_where_not(make):
    rows = [make(unit=unit, verdict=verdict) for unit in ("Birch", "Alder") for verdict in ("met", "not_met")]
    funnel = drawn(rows, "unit").to_dict()
    medians = drawn([untold(make, 5.0), untold(make, 9.0, unit="Birch")], "unit").to_dict()

    assert (funnel["chart"], [each["label"] for each in funnel["points"]]) == ("funnel", ["Alder", "Birch"])
    assert medians["chart"] == "medians"
    assert [(each["value"], each["upper"]) for each in medians["points"]] == [(5, None), (9, None)]
    assert medians["centre"] == 7


def test_two_versions_of_definitions_are_never_one_point_and_a_new_phase_begins(judged):
    newer = [replace(row, definitions=2, inputs=("other",), verdict="not_met") for row in judged]
    found = drawn(newer + judged)

    assert [(each.definitions, each.label) for each in found.points] == [
        *((1, "2026-03"), (1, "2026-04"), (2, "2026-03"), (2, "2026-04"))
    ]
    assert [each.point.centre for each in found.points] == [4 / 6, 4 / 6, 0, 0]
    assert say("trends.note_definitions") in found.notes


def test_phases_begin_at_labels_and_baselines_freeze_each(make):
    rows = [
        make(date=f"2026-{month:02}-01", verdict="met" if month > 6 or even else "not_met")
        for month in range(1, 13)
        for even in (True, False)
    ]
    found = drawn(rows, phases=("2026-07",))
    frozen = drawn(rows, baseline=6)

    assert [found.points[0].point.centre, found.centre] == [0.5, 1.0]
    assert [phase.label for phase in found.phases] == ["", "2026-07"]
    assert frozen.centre == 0.5
    with pytest.raises(BadSetting, match="2027-01"):
        drawn(rows, phases=("2027-01",))


def test_run_charts_are_of_shares_or_medians(make):
    days = [f"2026-{month:02}-01" for month in range(1, 13)]
    shares = [make(date=day, verdict="met" if day < "2026-07" else "not_met") for day in days]
    medians = [untold(make, float(day[5:7]), date=day) for day in days]

    assert drawn(shares, chart="run").to_dict()["points"][0]["upper"] is None
    assert drawn(shares, chart="run").centre == 0.5
    assert drawn(medians, chart="run").signals == ("too_few_runs",)


def test_between_misses_lie_events_and_days(make):
    rows = [
        make(date=f"2026-03-{day:02}", verdict=verdict)
        for day, verdict in [
            *[(20, "met"), (1, "not_met"), (4, "met"), (6, "uncertain"), (9, "met"), (11, "not_met")],
            *[(11, "not_met"), (18, "not_met")],
        ]
    ]
    events, days = drawn(rows, "miss", "g").to_dict(), drawn(rows, "miss", "t").to_dict()

    assert [each["value"] for each in events["points"]] == [2, 0, 0]
    assert [round(each["value"], 9) for each in days["points"]] == [10, 0, 7]
    assert [(each["after"], each["label"]) for each in days["points"]] == [
        *(("2026-03-01", "2026-03-11"), ("2026-03-11", "2026-03-11"), ("2026-03-11", "2026-03-18"))
    ]


def test_days_between_misses_are_by_the_hour_where_both_have_one(make):
    moments = ["2026-03-01T06:00:00", "2026-03-01T18:00:00", None]
    rows = [make(date="2026-03-01" if at else "2026-03-04", at=at, verdict="not_met") for at in moments]

    assert [each.point.value for each in drawn(rows, "miss", "t").points] == pytest.approx([0.5, 3])


@pytest.mark.parametrize(("chart", "value"), [("p", 3.0), ("g", 3.0), ("t", 3.0), ("xmr", True)])
def test_a_chart_that_does_not_fit_the_measure_is_refused(make, chart, value):
    with pytest.raises(BadSetting, match=f"--chart {chart}"):
        drawn([untold(make, value)], "miss" if chart in "gt" else "month", chart)


def test_units_have_no_order_for_a_run_chart(make):
    with pytest.raises(BadSetting, match="order"):
        drawn([make()], "unit", "run")


class TestLittle:
    """One event, none, nothing known, and different patients."""

    def test_one_event_shows_no_change(self, make):
        assert say("trends.note_one") in drawn([make()]).notes

    def test_an_empty_cohort_says_so_and_has_no_points(self, make):
        found = drawn([make()], filters=[filter_named("population=child")]).to_dict()
        assert (found["points"], found["centre"], found["counted"]) == ([], None, 0)
        assert found["notes"] == [say("trends.note_empty", read=1)]

    def test_where_nothing_is_known_the_point_stays_and_has_no_value(self, make):
        found = drawn([make(verdict="no_data", value=None)] * 1 + [make(verdict="uncertain")]).to_dict()
        assert (found["points"][0]["n"], found["points"][0]["value"]) == (0, None)
        assert say("trends.note_nothing_known", events=2) in found["notes"]

    def test_no_two_misses_say_so(self, make):
        assert say("trends.note_no_misses") in drawn([make(), make()], "miss", "t").notes

    def test_different_patients_and_targets_are_pointed_out(self, make, target):
        child = make(population="child", target=target | {"id": "of_a_child", "rule": "at most 3 min"})
        found = drawn([make(), child])
        assert found.target is None
        assert say("trends.note_populations", populations="adult, child") in found.notes
        assert say("trends.note_targets", rules="at most 2 min; at most 3 min") in found.notes

    def test_shares_of_few_events_are_said_to_be_rough(self, make):
        few = [make(verdict=verdict) for verdict in ["met"] * 9 + ["not_met"]]
        many = few + [make(verdict=verdict) for verdict in ["met"] * 20 + ["not_met"] * 4]
        assert say("trends.note_small") in drawn(few).notes
        assert say("trends.note_small") not in drawn(many).notes

    def test_json_of_any_of_them_holds_no_nan(self, make):
        for rows in ([], [make()], [make(value=None, verdict="no_data")], [untold(make, None)]):
            json.dumps(drawn(rows).to_dict(), allow_nan=False)
