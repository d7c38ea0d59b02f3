"""Who still waits: those never seen to have it count for as long as they were watched."""

import pytest

from debrief.assess import Asked, assess_event
from debrief.cohorts.cohort import cohort, row_of
from debrief.cohorts.kept import rows_kept
from debrief.cohorts.waiting import waiting
from debrief.errors import BadSetting
from debrief.importers import Settings, read_event
from debrief.registry.adding import add_events, how_for
from debrief.registry.incoming import found_in
from debrief.registry.store import Registry
from debrief.resources import shipped

SAMPLES = [
    shipped("sample_events") / name for name in ("vf_log_and_sheet", "sensor_then_device", "extracorporeal")
]


def chosen(rows, measure="time_to_rosc"):
    return cohort(rows, measure, (), None, waits=True)


def test_efforts_that_ended_without_circulation_wait_until_their_end(make):
    rows = [make(value=300.0, target=None), make(value=None, verdict="not_applicable", watched_s=900.0)]
    curve = waiting(chosen(rows))

    assert (curve.n, curve.seen, curve.steps[0].waiting) == (2, 1, 0.5)


def test_what_nothing_is_known_of_and_what_does_not_apply_waits_for_nothing(make):
    rows = [make(), make(value=None, verdict="no_data"), make(value=None, verdict="not_applicable")]

    assert waiting(chosen(rows, "time_to_first_shock")).n == 1


def test_only_a_time_to_something_has_a_curve(make):
    with pytest.raises(BadSetting, match="time_to_rosc"):
        waiting(chosen([make()], "longest_pause"))


@pytest.mark.parametrize("measure", ["time_to_rosc", "time_to_first_shock"])
def test_the_registry_has_the_curve_of_the_reports(tmp_path, measure):
    with Registry(tmp_path, create=True) as registry:
        how = how_for(registry, Asked(draws=0), Settings())
        for folder in SAMPLES:
            list(add_events(registry, found_in(folder, Settings()), how))
        kept = waiting(chosen(rows_kept(registry, measure), measure))
    reports = [assess_event(read_event([folder]), Asked(draws=0)).to_dict() for folder in SAMPLES]
    told = waiting(chosen([row_of(report, measure) for report in reports], measure))

    assert kept == told
    assert kept.n == 3 if measure == "time_to_rosc" else kept.n >= 1
    assert kept.seen < kept.n or measure != "time_to_rosc"
