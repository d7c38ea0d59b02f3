"""Three worked cases, to the last digit, from files through `assess`.

No published numeric worked example of a compression fraction, a peri-shock pause or an average dosing
interval was found; the cases are constructed, their arithmetic done by hand in the comments beside them. The
rules that each checks are published:

- Case K, the least pause: Landis et al., Resuscitation 2020 (PMC7296394), interruptions of at least 1, 2
and 3 s. Shock pauses: Cheskes et al., Circulation 2011;124:58-66. - Case D, dosing: the average period over
the doses after the first, Warren et al., Resuscitation 2014;85:350-8; the average interval over all doses,
Grunau et al., Ann Emerg Med 2019;74:797-806. - Case R, whole minutes: Chan, Arch Intern Med 2009;169:2162-6
(recognition 14:12:00 and shock 14:12:59 read as 0 min).
"""

import pytest

from debrief.assess import assess
from tests.strategies import mark, write

EXACT = 1e-12
STOPS = [(60, 61.5), (140, 152), (272, 280), (400, 402.5), (412, 430)]


def case_k():
    """Return case K: compressions from 20 to 600 s, five pauses of 42 s in all, two shocks, ROSC at 600 s."""
    rows = [mark(0, "recognition"), mark(20, "compressions_start")]
    for stop, start in STOPS:
        rows += [mark(stop, "compressions_stop"), mark(start, "compressions_start")]
    rows += [mark(time, "shock", amount=200, unit="J") for time in (149, 425)]
    return [*sorted(rows, key=lambda row: row["time"]), mark(600, "compressions_stop"), mark(600, "rosc")]


def case_k_with_a_rearrest():
    """Return case K followed by a lost pulse at 900 s, compressions from 905 to 1000 s, and death."""
    return [
        *case_k(),
        mark(900, "rearrest"),
        mark(905, "compressions_start"),
        mark(1000, "compressions_stop"),
        mark(1000, "efforts_ended", "died"),
    ]


def report(tmp_path, marks, **asked):
    """Return the report on marks, measured from their file without draws unless asked for."""
    return assess([write(marks, tmp_path / "case")], **({"draws": 0} | asked)).to_dict()


def figures(tmp_path, marks, **asked):
    """Return the figures by name."""
    return {figure["name"]: figure for figure in report(tmp_path, marks, **asked)["figures"]}


def values(tmp_path, marks, **asked):
    """Return the figures' values by name."""
    return {name: figure["value"] for name, figure in figures(tmp_path, marks, **asked).items()}


@pytest.mark.parametrize(
    ("min_pause_s", "hands_on_s"),
    [
        (1.0, 538.0),  # 580 - 42
        (2.0, 539.5),  # the gap of 1.5 s counts as hands-on
        (3.0, 542.0),  # and that of 2.5 s
        (1.5, 538.0),  # a gap of exactly the least length is a pause
        (2.5, 539.5),
    ],
)
def test_case_k_fractions_for_each_least_pause(tmp_path, min_pause_s, hands_on_s):
    """538/580, 539.5/580 and 542/580; from recognition the same over 600 s."""
    found = values(tmp_path, case_k(), min_pause_s=min_pause_s)

    assert found["chest_compression_fraction"] == pytest.approx(hands_on_s / 580, abs=EXACT)
    assert found["chest_compression_fraction_from_recognition"] == pytest.approx(hands_on_s / 600, abs=EXACT)
    assert found["hands_off_time"] == 580 - hands_on_s
    assert found["compression_coverage"] == 1.0


def test_case_k_pauses(tmp_path):
    """Five pauses: longest 18 s, median 8 s, two over 10 s and none over 20 s."""
    made = report(tmp_path, case_k())
    found = {figure["name"]: figure["value"] for figure in made["figures"]}

    assert [(pause["start"], pause["end"]) for pause in made["pauses"]] == STOPS
    assert [pause["length"] for pause in made["pauses"]] == [1.5, 12.0, 8.0, 2.5, 18.0]
    assert [pause["cause"] for pause in made["pauses"]] == [
        "unexplained",
        "shock",
        "unexplained",
        "unexplained",
        "shock",
    ]
    assert found["longest_pause"] == 18.0
    assert found["median_pause"] == 8.0
    assert found["pauses_over_10_s"] == 2
    assert found["pauses_over_20_s"] == 0
    assert found["last_compression_to_end"] == 0.0


def test_case_k_shock_pauses(tmp_path):
    """Shock 1: 9 + 3 = 12 s. Shock 2: 13 + 5 = 18 s."""
    made = report(tmp_path, case_k())
    found = {figure["name"]: figure["value"] for figure in made["figures"]}
    names = ("pre_shock_pause", "post_shock_pause", "peri_shock_pause")

    assert [[shock[name] for name in names] for shock in made["shocks"]] == [
        [9.0, 3.0, 12.0],
        [13.0, 5.0, 18.0],
    ]
    assert [found[f"{name}_median"] for name in names] == [11.0, 4.0, 15.0]
    assert [found[f"{name}_max"] for name in names] == [13.0, 5.0, 18.0]
    assert found["shock_interval"] == 276.0
    assert found["time_to_first_shock"] == 149.0


def test_case_k_by_minute(tmp_path):
    """Ten minutes from 20 s, the last of 40 s; their plain mean (0.93) is not the fraction (0.927586)."""
    minutes = report(tmp_path, case_k())["by_minute"]
    fractions = [minute["fraction"] for minute in minutes]

    assert [minute["start"] for minute in minutes] == [20.0 + 60 * n for n in range(10)]
    assert minutes[-1]["end"] == 600.0
    assert fractions == pytest.approx(
        [58.5 / 60, 1, 48 / 60, 1, 52 / 60, 1, 39.5 / 60, 1, 1, 1],  # minute 7 holds 2.5 s and 18 s
        abs=EXACT,
    )
    assert sum(fractions) / 10 == pytest.approx(0.93, abs=EXACT)


def test_case_k_single_compressions_are_counted_by_minute(tmp_path):
    """In the minute from 140 s, 48 s of hands-on at 110/min are 88 compressions."""
    step_s = 60 / 110
    rows = [mark(0, "recognition")]
    for begin, end in [(20, 140), (152, 272)]:
        count = round((end - begin) / step_s)
        times = [begin + round(n * step_s, 1) for n in range(count)]
        rows += [mark(time, "compression", "released", source="puck", amount=50, unit="mm") for time in times]
    rows.append(mark(300, "rosc"))

    minute = next(row for row in report(tmp_path, rows)["by_minute"] if row["start"] == 140.0)

    assert minute["delivered"] == 88


def test_case_k_with_a_rearrest(tmp_path):
    """633/680 with the gap that opens the re-arrest, 633/700 from recognition; 15 min of ROSC in neither."""
    made = report(tmp_path, case_k_with_a_rearrest())
    found = {figure["name"]: figure["value"] for figure in made["figures"]}

    assert found["chest_compression_fraction"] == pytest.approx(633 / 680, abs=EXACT)
    assert found["chest_compression_fraction_from_recognition"] == pytest.approx(633 / 700, abs=EXACT)
    assert found["time_in_arrest"] == 700.0
    assert [(row["start"], row["end"]) for row in made["episodes"]] == [(0.0, 600.0), (900.0, 1000.0)]
    assert made["pauses"][-1]["length"] == 5.0
    assert made["pauses"][-1]["episode"] == 1


def doses(*times):
    """Return case D's doses, in an arrest from 0 to 1080 s."""
    given = [mark(time, "drug", "epinephrine", amount=1, unit="mg", route="iv") for time in times]
    return [mark(0, "recognition"), mark(0, "rhythm", "pea"), *given, mark(1080, "rosc")]


def test_case_d_has_three_answers(tmp_path):
    """Gaps 240, 240, 300 s; 900 s over three doses after the first is 5.0 min, over all four 3.75 min."""
    made = report(tmp_path, doses(180, 420, 660, 960))
    found = {figure["name"]: figure["value"] for figure in made["figures"]}
    gaps = [row["gap"] for row in made["doses"]]

    assert gaps == [None, 240.0, 240.0, 300.0]
    assert sum(gaps[1:]) / 3 / 60 == pytest.approx(13 / 3, abs=EXACT)
    assert found["epinephrine_average_period"] == 300.0
    assert found["epinephrine_average_interval"] == 225.0
    assert found["epinephrine_interval_median"] == 240.0
    assert found["epinephrine_interval_in_range"] == 1.0
    assert found["time_to_first_epinephrine"] == 180.0


def test_case_d_with_one_dose_has_an_average_interval_alone(tmp_path):
    """Over the doses after the first nothing can be divided; over all doses it can."""
    found = figures(tmp_path, doses(180))

    assert found["epinephrine_average_period"]["value"] is None
    assert found["epinephrine_average_period"]["because"]
    assert found["epinephrine_average_interval"]["value"] == 900.0


RECOGNISED_S = 4 * 3600 + 12 * 60  # 14:12:00, from 10:00


def shocked(shock_s, cell_s):
    """Return an arrest recognised at 14:12 and shocked later, both as a device wrote them."""
    half = cell_s / 2 if cell_s > 1 else 0
    return [
        mark(RECOGNISED_S + half, "recognition", source="monitor", cell=cell_s),
        mark(RECOGNISED_S + half, "rhythm", "vf", source="monitor", cell=cell_s),
        mark(RECOGNISED_S + shock_s + half, "shock", source="monitor", amount=200, unit="J", cell=cell_s),
        mark(RECOGNISED_S + 600 + half, "rosc", source="monitor", cell=cell_s),
    ]


def test_case_r_in_seconds_is_59_s_and_in_whole_minutes_none(tmp_path):
    """14:12:00 to 14:12:59 is 59 s; the registry's own rule says 0 min."""
    found = values(tmp_path, shocked(59, 1.0))

    assert found["time_to_first_shock"] == 59.0
    assert found["registry_first_shock"] == 0.0


@pytest.mark.parametrize(
    ("minutes", "verdict"),
    [(0, "met"), (1, "met"), (2, "uncertain"), (3, "not_met"), (4, "not_met")],
)
def test_case_r_recorded_minutes_decide_two_minutes_only_where_they_can(tmp_path, minutes, verdict):
    """Recorded m minutes lie between m - 1 and m + 1: 1 is sure to be within 2 min, 3 to be past it."""
    shock = figures(tmp_path, shocked(60 * minutes, 60.0), draws=500)["time_to_first_shock"]

    assert shock["value"] == 60.0 * minutes
    assert max(0, 60 * (minutes - 1)) <= shock["low"] <= shock["value"] <= shock["high"] <= 60 * (minutes + 1)
    assert shock["verdict"] == verdict
