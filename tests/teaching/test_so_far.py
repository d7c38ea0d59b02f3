"""What could be told at a moment: at the end it is what the report says, before it what was past."""

import pytest

from debrief.assess import assess
from debrief.importers import Settings, find_events
from debrief.model.times import US
from debrief.model.values import value_words
from debrief.picture.captions import length
from debrief.resources import shipped
from debrief.teaching.so_far import LIMITS_S, so_far, told_at, what_if
from tests.made import assessed, row

SAMPLES = [one.paths for one in find_events(shipped("sample_events"), Settings())]
ROWS = [
    row(0, "recognition"),
    row(20, "compressions_start"),
    row(80, "compressions_stop"),
    row(85, "rhythm", "vf"),
    row(88, "shock", amount=200.0, unit="J"),
    row(100, "compressions_start"),
    row(220, "compressions_stop"),
    row(224, "compressions_start"),
    row(300, "compressions_stop"),
    row(300, "rosc"),
]


@pytest.mark.parametrize("paths", SAMPLES, ids=lambda paths: paths[0].name)
def test_at_the_end_it_is_what_the_report_says(paths):
    report = assess(paths).to_dict()
    figures = {one["name"]: one["value"] for one in report["figures"]}
    told = {name: told_at(steps, 1e6) for name, steps in so_far(report).items()}

    if figures["chest_compression_fraction"] is None:
        assert "fraction" not in told
    else:
        assert value_words(figures["chest_compression_fraction"], "1") in told["fraction"]
    assert ("longest" in told) == bool(figures["longest_pause"])
    if figures["longest_pause"]:
        assert length(figures["longest_pause"]) in told["longest"]


@pytest.mark.parametrize("until", [85, 150, 222, 260])
def test_before_the_end_it_is_what_an_event_that_stopped_then_would_say(until):
    """A pause that goes on is in no figure: nobody knows yet whether compressions come back."""
    told = {name: told_at(steps, until) for name, steps in so_far(assessed(ROWS).to_dict()).items()}
    past = [one for one in ROWS if one["time"] <= until * US]
    running = [one["kind"] for one in past if one["kind"].startswith("compressions")][
        -1
    ] == "compressions_start"
    stopped = assessed([*past, *([row(until, "compressions_stop")] if running else [])]).to_dict()
    figures = {one["name"]: one["value"] for one in stopped["figures"]}

    assert value_words(figures["chest_compression_fraction"], "1") in told["fraction"]
    longest = max((one["length"] for one in stopped["pauses"]), default=None)
    assert (length(longest) in told["longest"]) if longest else told["longest"] == ""
    assert ("shock" in told["shocks"]) == bool(stopped["shocks"])


@pytest.mark.parametrize("paths", SAMPLES, ids=lambda paths: paths[0].name)
def test_what_might_have_been_is_at_the_end_what_the_report_says(paths):
    report = assess(paths, draws=0).to_dict()
    limit, share = report["parameters"]["what_if_longest_pause_s"], report["parameters"]["what_if_fraction"]

    found = dict(what_if(report, 1e6))

    assert limit in LIMITS_S
    assert found.get(limit) == (None if share is None else pytest.approx(share, abs=1e-6))
    assert list(found.values()) == sorted(found.values(), reverse=True)


@pytest.mark.parametrize("until", [85, 150, 222, 260])
def test_what_might_have_been_by_a_moment_knows_nothing_of_later(until):
    whole = assessed(ROWS).to_dict()
    later = [one for one in ROWS if one["time"] <= until * US]
    other = assessed([*later, row(until + 40, "compressions_start"), row(until + 400, "rosc")]).to_dict()

    assert what_if(whole, until) == what_if(other, until)
