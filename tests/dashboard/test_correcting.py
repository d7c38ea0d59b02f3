"""Corrections on the page: the form says what stands; what is kept is told in words, and can go back."""

import pytest

from debrief.dashboard import correcting
from debrief.dashboard.markup import to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.errors import BadSetting


@pytest.fixture
def reports(tmp_path):
    return Reports(Shelf(tmp_path))


def event(reports):
    return reports.get("vf_log_and_sheet")


def shock(reports):
    return next(row for row in event(reports).rows if row.kind == "shock" and row.source == "monitor-log")


def said(reports, **changes):
    row = shock(reports)
    standing = {
        "mark": row.name,
        "time": row.written,
        "kind": "shock",
        "amount": "200",
        "unit": "J",
        "note": "",
    }
    return standing | {"counted": "counts", "role": "nurse", "why": "the strip"} | changes


def test_the_form_holds_what_stands(reports):
    html = to_html(correcting.form(event(reports), shock(reports).name))

    assert f'value="{shock(reports).written}"' in html
    assert 'value="200"' in html
    assert correcting.form(event(reports), "no-such:1") is None


def test_a_mark_kept_as_it_stands_changes_nothing(reports):
    correcting.keep(event(reports), said(reports))

    assert correcting.history(event(reports)) == []


def test_a_correction_is_told_in_words_with_role_and_reason_and_taken_back(reports):
    before = event(reports).report["figures"]
    correcting.keep(event(reports), said(reports, amount="150", counted="out"))
    told = to_html(correcting.history(event(reports)))

    assert "the amount from 200 J to 150 J" in told
    assert "took out" in told
    assert told.count("ward nurse") == 2
    assert "the strip" in told
    row = shock(reports)
    assert row.out
    assert row.read_as == "corrected; its source says: 200"
    correcting.step(event(reports), "undo")
    correcting.step(event(reports), "undo")
    assert event(reports).report["figures"] == before
    correcting.step(event(reports), "redo")
    assert shock(reports).amount == "150 J"
    assert "undid" in to_html(correcting.history(event(reports)))


def test_what_is_gone_already_is_not_taken_back_twice(reports):
    correcting.keep(event(reports), said(reports, amount="150"))
    correcting.step(event(reports), "undo")

    with pytest.raises(BadSetting, match="nothing to undo"):
        correcting.step(event(reports), "undo")
