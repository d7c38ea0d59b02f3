"""Rows from the registry are those of the reports, and say why events are left out."""

import pytest
import sqlalchemy as sa

from debrief.assess import Asked, assess_event
from debrief.cohorts.cohort import cohort, row_of
from debrief.cohorts.kept import COHORT, filters_named, gaps_kept, rows_kept
from debrief.errors import BadSetting
from debrief.importers import Settings, read_event
from debrief.registry import tables
from debrief.registry.adding import add_events, how_for
from debrief.registry.incoming import found_in
from debrief.registry.store import Registry
from debrief.resources import shipped
from tests.cohorts.filled import BECAUSE, fill


@pytest.fixture
def registry(tmp_path):
    with Registry(tmp_path, create=True) as kept:
        yield kept


def test_a_row_of_the_registry_is_that_of_the_report(registry):
    folder = shipped("sample_events") / "vf_log_and_sheet"
    how = how_for(registry, Asked(draws=0), Settings())
    list(add_events(registry, found_in(folder, Settings()), how))
    report = assess_event(read_event([folder]), Asked(draws=0)).to_dict()
    for measure in ("time_to_first_shock", "chest_compression_fraction", "any_rosc", "longest_pause"):
        [kept] = rows_kept(registry, measure)
        told = row_of(report, measure)
        same = ("date", "at", "unit", "population", "shockable", "shift", "weekend", "witnessed")
        same += ("value", "low", "high", "figure_unit", "verdict", "definitions", "ended_as")
        assert {name: getattr(kept, name) for name in same} == {name: getattr(told, name) for name in same}
        if told.target:
            assert {**kept.target} == {**told.target}


def test_removed_events_are_gone_and_excluded_ones_are_left_out_with_the_reason(registry):
    fill(registry, 12, months=3)
    registry.remove("event 00001", "nurse")
    registry.review("event 00002", "excluded", "nurse", "a drill")
    registry.review("event 00003", "not_an_arrest", "nurse", "a faint")
    chosen = cohort(rows_kept(registry, "longest_pause"), "longest_pause", (), "month")
    assert chosen.left_out == {"not_an_arrest": ("event 00003",), "excluded": ("event 00002",)}
    assert (len(chosen.rows), chosen.read) == (9, 11)


def test_a_target_that_the_edition_does_not_know_is_told_by_its_id(registry):
    fill(registry, 1)
    with registry.database.writing() as connection:
        connection.execute(sa.update(tables.figure).values(target="gone.limit"))
    [row] = rows_kept(registry, "longest_pause")
    assert row.target["rule"] == "gone.limit"


def test_what_to_check_first_is_what_most_events_lack(registry):
    fill(registry, 40)
    names = {row.event_id for row in rows_kept(registry, "time_to_first_shock")}
    lacking = sum(number % 11 == 0 or number % 17 == 0 for number in range(1, 41))
    assert gaps_kept(registry, "time_to_first_shock", names) == [(BECAUSE, lacking)]
    assert gaps_kept(registry, "time_to_first_shock", {"event 00011"}) == [(BECAUSE, 1)]


def test_a_cohort_of_the_site_is_its_filters_and_one_that_is_not_there_names_those_that_are(registry):
    registry.name(COHORT, "Nights", {"where": ["shift=night"]})
    named = registry.named(COHORT)
    [one] = filters_named(named, "Nights")
    assert (one.key, one.wanted) == ("shift", "night")
    assert filters_named(named, "") == ()
    with pytest.raises(BadSetting, match="Nights"):
        filters_named(named, "Days")
