"""What is written keeps the contract, whatever the event."""

import json
import math
import re
from typing import get_type_hints

import pytest

from debrief.assess import Asked, assess
from debrief.errors import BadSetting, NothingMeasurable
from debrief.measures import MEASURES
from debrief.model import contract
from debrief.resources import shipped
from tests.made import assessed, compressions, event, figures, row

SAMPLES = sorted(path for path in shipped("sample_events").iterdir() if not path.name.startswith("."))


@pytest.fixture(scope="module", params=SAMPLES, ids=lambda path: path.stem)
def report(request):
    return assess([request.param], draws=100).to_dict()


def numbers(value):
    """Return every number in a nested value."""
    if isinstance(value, dict):
        return [n for inner in value.values() for n in numbers(inner)]
    if isinstance(value, list):
        return [n for inner in value for n in numbers(inner)]
    return [value] if isinstance(value, int | float) else []


def test_every_key_of_the_contract_is_there_and_no_other(report):
    kinds = {
        "episodes": contract.Episode,
        "hands_on": contract.HandsOn,
        "occurrences": contract.Occurrence,
        "figures": contract.Figure,
        "by_minute": contract.Minute,
        "pauses": contract.Pause,
        "shocks": contract.Shock,
        "doses": contract.Dose,
        "sources": contract.SourceOut,
        "problems": contract.ProblemOut,
    }

    assert set(report) == set(get_type_hints(contract.Report))
    for key, kind in kinds.items():
        assert all(set(entry) == set(get_type_hints(kind)) for entry in report[key])


def test_it_is_json_without_nan(report):
    assert json.loads(json.dumps(report, allow_nan=False)) == report
    assert not any(math.isnan(number) for number in numbers(report))


def test_times_are_whole_microseconds(report):
    times = [entry["time"] for entry in report["occurrences"]] + [e["end"] for e in report["episodes"]]

    assert all(round(time, 6) == time for time in times)


def test_lists_stand_in_time_order(report):
    for key, time in (("occurrences", "time"), ("pauses", "start"), ("shocks", "time"), ("doses", "time")):
        times = [entry[time] for entry in report[key]]
        assert times == sorted(times)


def test_every_figure_is_there_once_and_bounds_hold_its_value(report):
    names = [figure["name"] for figure in report["figures"]]

    assert sorted(names) == sorted([*(measure.name for measure in MEASURES), "completeness"])
    for figure in report["figures"]:
        if figure["value"] is not None and figure["low"] is not None:
            assert figure["low"] <= figure["value"]
        if figure["value"] is not None and figure["high"] is not None:
            assert figure["value"] <= figure["high"]


def test_what_is_missing_or_unsure_carries_a_sentence(report):
    for figure in report["figures"]:
        if figure["value"] is None or figure["verdict"] in ("uncertain", "no_data", "not_applicable"):
            assert figure["because"], figure["name"]
            assert figure["because"].endswith("."), figure["because"]


def test_every_mark_that_is_named_exists(report):
    known = {name for occurrence in report["occurrences"] for name in occurrence["marks"]}
    places = {name.partition(":")[0]: set() for name in known}
    for name in known:
        places[name.partition(":")[0]].add(name.partition(":")[2])
    named = [name for figure in report["figures"] for name in figure["marks"]]
    named += [
        name for key in ("pauses", "shocks", "doses") for entry in report[key] for name in entry["marks"]
    ]
    for name in named:
        source, _, place = name.partition(":")
        first, _, last = place.partition("-")
        assert place in places[source] or {first, last} <= places[source], name


def test_windows_lie_where_something_was_measured(report):
    for figure in report["figures"]:
        for start, end in figure["window"]:
            assert start <= end


def test_the_by_minute_fractions_weigh_up_to_the_whole(report):
    whole = figures(report)["chest_compression_fraction"]["value"]
    if whole is None or len(report["episodes"]) > 1:
        pytest.skip("nothing to weigh")
    seconds = [(m["end"] - m["start"]) * m["coverage"] for m in report["by_minute"]]
    weighed = sum(s * m["fraction"] for s, m in zip(seconds, report["by_minute"], strict=True) if s)

    assert weighed / sum(seconds) == pytest.approx(whole, abs=1e-9)


ROWS = [
    row(0, "recognition"),
    *compressions((20, 300), (312, 600)),
    row(30, "rhythm", "vf"),
    row(305, "shock", amount=200.0, unit="J"),
    row(600, "rosc"),
]


def test_without_draws_bounds_are_null_and_the_verdict_is_on_the_value():
    report = assessed(ROWS, draws=0).to_dict()
    fraction = figures(report)["chest_compression_fraction"]

    assert {figure["certainty"] for figure in report["figures"]} == {"not_assessed"}
    assert (fraction["low"], fraction["high"], fraction["verdict"]) == (None, None, "met")


def test_the_same_event_gives_the_same_bounds_and_a_note_changes_nothing():
    sheet = row(290, "drug", "epinephrine", source="sheet", cell_s=60)
    noted = [*ROWS, sheet | {"note": "given by the second nurse"}]

    assert assessed([*ROWS, sheet], draws=200).to_dict() == assessed(noted, draws=200).to_dict()


def test_from_an_assumed_zero_intervals_have_no_upper_bound_and_are_never_met():
    report = assessed([*ROWS[1:]], draws=200).to_dict()
    compression = figures(report)["time_to_first_compression"]

    assert report["time_zero"]["basis"] == "assumed"
    assert compression["high"] is None
    assert compression["verdict"] != "met"
    assert figures(report)["chest_compression_fraction"]["verdict"] == "met"


def test_a_newborn_has_times_and_doses_only():
    report = assessed(ROWS, population="newborn_at_birth").to_dict()
    found = figures(report)

    assert found["chest_compression_fraction"]["value"] is None
    assert found["chest_compression_fraction"]["verdict"] == "not_applicable"
    assert found["longest_pause"]["because"] == found["chest_compression_fraction"]["because"]
    assert found["time_to_rosc"]["value"] == 600


def test_low_coverage_makes_the_fraction_uncertain():
    silent = [row(at + i / 2, "compression", source="puck") for at in (20, 500) for i in range(201)]
    report = assessed([row(0, "recognition"), *silent, row(600, "rosc")]).to_dict()
    found = figures(report)

    assert found["compression_coverage"]["value"] == pytest.approx(200 / 580)
    assert found["chest_compression_fraction"]["value"] == 1.0
    assert found["chest_compression_fraction"]["verdict"] == "uncertain"


@pytest.mark.parametrize(("window", "end"), [("first:5min", 320), ("first:90s", 110), ("whole", 600)])
def test_a_window_can_be_cut_short(window, end):
    report = assessed(ROWS, asked=Asked(draws=0, window=window)).to_dict()

    assert figures(report)["chest_compression_fraction"]["window"] == [[20, end]]


@pytest.mark.parametrize("window", ["last:5min", "first:5", "first:0min", "five"])
def test_a_window_that_cannot_be_read_says_what_to_write(window):
    with pytest.raises(BadSetting, match=re.escape(f"read {window}. Write whole")):
        assessed(ROWS, asked=Asked(window=window))


def test_a_time_zero_that_cannot_be_read_says_what_to_write():
    with pytest.raises(BadSetting, match="time_zero: read soon"):
        assessed(ROWS, time_zero="soon")


def test_nothing_placed_in_time_is_an_error_that_names_the_file():
    lost = [entry | {"source_time": None} for entry in ROWS]

    with pytest.raises(NothingMeasurable, match=r"log\.csv"):
        assessed(lost)


def test_a_source_left_out_is_listed_with_a_group_of_its_own():
    made = assessed(
        [*ROWS, row(200, "drug", "epinephrine", source="sheet")], sources={"sheet": ("person", None)}
    )
    report = made.to_dict()

    assert [(source["source_id"], source["group"]) for source in report["sources"]] == [
        ("log", 1),
        ("sheet", 2),
    ]
    assert report["sources"][1]["clock"] is None
    assert report["doses"] == []


def test_problems_name_source_and_place():
    report = assessed([*ROWS, row(700, "shock"), row(701, "note")]).to_dict()
    implied = next(problem for problem in report["problems"] if problem["code"] == "rearrest_implied")

    assert (implied["source_id"], implied["place"], implied["severity"]) == ("log", "700", "check")


def test_many_marks_of_one_source_are_named_as_a_run():
    singles = [row(20 + i / 2, "compression", source="puck", place=f"{i + 2}") for i in range(400)]
    report = assessed([row(0, "recognition"), *singles, row(300, "rosc")]).to_dict()

    assert "puck:2-401" in figures(report)["chest_compression_fraction"]["marks"]


def test_an_event_is_not_changed_by_being_assessed():
    made = event(ROWS)
    before = made.marks.to_pylist()
    assessed(ROWS)

    assert made.marks.to_pylist() == before
