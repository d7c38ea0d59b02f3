"""Charts of many events: the layout shows all there is, and the painter paints all of the layout."""

import re

import pytest

from debrief.cohorts.cohort import cohort
from debrief.cohorts.survival import kaplan_meier
from debrief.cohorts.trends import trend
from debrief.picture import svg
from debrief.picture.chart import POINT, lay_chart
from debrief.picture.chart_words import numbered, order
from debrief.picture.curve import lay_curve
from debrief.picture.plain import Bar, Line, Mark
from tests.cohorts.conftest import make  # noqa: F401 - a fixture

CHARTS = ("p", "xmr", "run", "g", "t")


def months(make, worse=range(7, 14)):  # noqa: F811
    """Rows of 14 months, ten each; in some months most of them miss."""
    rows = []
    for month in range(14):
        for number in range(10):
            missed = number < (8 if month in worse else 2)
            verdict = "uncertain" if number == 9 else "not_met" if missed else "met"
            date = f"{2025 + month // 12}-{month % 12 + 1:02d}-{number + 1:02d}"
            rows.append(make(date=date, value=90.0 + 10 * number + month, verdict=verdict))
    return rows


def drawn(rows, chart=None, by="month", **more):
    real = "miss" if chart in ("g", "t") else by
    return trend(cohort(rows, "time_to_first_shock", (), real), real, chart, **more)


def painted_ids(text):
    return set(re.findall(r'data-id="([^"]+)"', text))


@pytest.mark.parametrize("chart", CHARTS)
def test_every_item_and_label_of_a_chart_is_painted(make, chart):  # noqa: F811
    picture = lay_chart(drawn(months(make), chart), 900)
    text = svg.paint(picture)
    assert {item.id for item in picture.items} | {label.id for label in picture.labels} == painted_ids(text)
    assert all(label.text in text and label.strong in text for label in picture.labels)


def test_units_stand_by_their_size_with_limits_that_close_in(make):  # noqa: F811
    rows = [make(unit=unit, verdict="met") for unit, count in (("B", 30), ("A", 5)) for _ in range(count)]
    rows += [make(unit="B", verdict="not_met") for _ in range(10)]
    found = drawn(rows, by="unit")
    assert [found.points[row].label for row in order(found)] == ["A", "B"]
    lower = lay_chart(found, 900).item("lower")
    (first, _), (second, _) = lower.paths[0][:2], lower.paths[0][2:]
    assert first[1] > second[1], "the limit of the larger unit is nearer to the centre, so higher"


def test_a_signal_has_its_own_shape_a_number_and_a_sentence(make):  # noqa: F811
    found = drawn(months(make, worse=[12]), "p", baseline=10)
    picture, signals = lay_chart(found, 900), numbered(found)
    assert signals
    for one in signals:
        assert picture.item(f"{POINT}{one.row}").role == "chart_signal"
        [label] = [label for label in picture.labels if label.id == f"{POINT}{one.row}"]
        assert label.strong == str(one.number)
        assert one.sentence.endswith(".")
    assert "One point signals." in picture.description


def test_uncertain_events_are_a_bar_from_worst_to_best(make):  # noqa: F811
    found = drawn(months(make), "p")
    picture = lay_chart(found, 900)
    bar, point = picture.item("range:0"), picture.item(f"{POINT}0")
    assert isinstance(bar, Bar)
    assert bar.y0 <= point.y <= bar.y1
    assert bar.x0 < point.x < bar.x1


def test_a_new_phase_breaks_line_centre_and_limits(make):  # noqa: F811
    picture = lay_chart(drawn(months(make), "p", phases=["2025-08"], baseline=3), 900)
    assert isinstance(picture.item("phase:1"), Line)
    assert [len(picture.item(name).paths) for name in ("path", "centre", "upper")] == [2, 2, 2]
    assert picture.item("baseline:0").x1 == 2.5
    assert (picture.item("baseline:1").x0, picture.item("baseline:1").x1) == (6.5, 9.5)
    assert "2025-08" in [label.text for label in picture.labels]


def test_a_point_of_which_nothing_is_known_is_a_gap_with_words(make):  # noqa: F811
    rows = [make(date=f"2026-{month:02d}-01", value=None if month == 2 else 50.0) for month in (1, 2, 3)]
    picture = lay_chart(drawn(rows, "xmr"), 900)
    gap = picture.item(f"{POINT}1")
    assert isinstance(gap, Bar)
    assert gap.role == "chart_gap"
    assert "nothing known" in [label.text for label in picture.labels]
    assert picture.item("path").paths == ()


def test_gaps_side_by_side_say_so_once_between_them(make):  # noqa: F811
    values = [50.0, None, None, 60.0, None]
    rows = [make(date=f"2026-{month:02d}-01", value=value) for month, value in enumerate(values, 1)]
    picture = lay_chart(drawn(rows, "xmr"), 900)
    said = [(label.x, label.text) for label in picture.labels if label.text == "nothing known"]

    assert said == [(1.5, "nothing known"), (4, "nothing known")]
    assert [picture.item(f"{POINT}{row}").role for row in (1, 2, 4)] == ["chart_gap"] * 3


def test_limits_of_a_time_are_never_drawn_below_zero(make):  # noqa: F811
    rows = [make(date=f"2026-{month:02d}-01", value=value) for month, value in enumerate((5, 300, 8, 250), 1)]
    found = drawn(rows, "xmr")
    assert found.points[0].point.lower < 0
    lower = lay_chart(found, 900).item("lower")
    assert {y for path in lower.paths for _, y in path} == {300.0}, "at the foot of the chart"


def test_points_lead_to_their_events_and_can_be_reached_by_keyboard(make):  # noqa: F811
    picture = lay_chart(drawn(months(make), "p"), 900)
    text = svg.paint(picture, "page", links={f"{POINT}0": "/events?q=a&b"})
    assert 'role="group"' in text
    assert f'<a href="/events?q=a&amp;b" aria-label="{picture.item(f"{POINT}0").hover}">' in text


def test_one_event_and_none_are_drawn_or_not_without_failing(make):  # noqa: F811
    assert lay_chart(drawn([make()], "p"), 900).item(f"{POINT}0")
    assert lay_chart(drawn([make(value=0.0)], "xmr"), 900).item(f"{POINT}0")
    assert lay_chart(drawn([]), 900) is None


def test_a_curve_is_painted_whole_with_its_median():
    curve = kaplan_meier([60, 90, 120, 200, 400], [True, True, True, False, True])
    picture = lay_curve(curve, "time_to_first_shock", 900)
    text = svg.paint(picture)
    assert {item.id for item in picture.items} | {label.id for label in picture.labels} == painted_ids(text)
    steps = [item for item in picture.items if isinstance(item, Mark)]
    assert len(steps) == 4
    assert "Half had it by 2:00." in picture.description
    assert lay_curve(kaplan_meier([5], [False]), "time_to_first_shock", 900) is None
