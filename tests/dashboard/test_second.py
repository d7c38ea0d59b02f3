"""A second entry of an event: typed blind, counted nowhere, compared with the first, differences settled."""

import re

import pytest

from debrief.dashboard.app import create_app
from debrief.dashboard.markup import to_html
from debrief.dashboard.pages import agreement
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.typed import second
from debrief.errors import BadSetting
from debrief.importers import corrections
from debrief.importers.corrections import Correction
from tests.dashboard.made import keep
from tests.dashboard.test_typed import PNG, ROWS, SHEET, draft, page, picture, post, row

AGAIN = second.sheet_of(SHEET)


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


@pytest.fixture
def client(shelf):
    return create_app(shelf).server.test_client()


@pytest.fixture
def twice(client, shelf):
    """An event typed by two: the second has another time of a shock, another dose, and no end."""
    picture(client, PNG)
    post(client, "event", draft(about={"date": "2026-03-04"}))
    rows = [*ROWS[:3], row("+2,shock,,200,J"), row("+1,adr,,2,mg,iv")]
    answer = post(client, "event", draft(rows), sheet=AGAIN)
    assert answer.json["address"] == f"/event/{SHEET}/agreement"
    return shelf


def text(reports):
    return re.sub("<[^>]+>", " ", to_html(agreement.told(second.agreement(reports, SHEET), SHEET)))


def test_who_types_it_again_sees_the_paper_and_not_the_first_entry(client):
    picture(client, PNG)
    post(client, "event")
    found = page(client, AGAIN).json

    assert found["draft"]["rows"] == []
    assert found["picture"] == "image/png"
    assert client.get(f"/type/{AGAIN}/picture", headers={"Host": "127.0.0.1"}).data == PNG
    assert "Compare with the first" in found["html"]


def test_a_second_entry_counts_in_no_figure_and_is_no_event(twice):
    before = Reports(twice).get(SHEET).report

    assert twice.names() == [SHEET]
    assert len(before["sources"]) == 1
    assert sum(one["kind"] == "shock" for one in before["occurrences"]) == 1
    assert second.kept_second(twice, SHEET).rows[3][0] == "+2"


def test_what_both_have_what_one_has_and_where_they_differ_is_told(twice):
    both = second.agreement(Reports(twice), SHEET)

    assert (len(both.typed.pairs), len(both.typed.only_first), len(both.typed.only_second)) == (5, 1, 0)
    assert both.typed.share == 10 / 11
    told = text(Reports(twice))
    assert "they agree on 91" in told
    assert "4 have the same time" in told
    assert "Kappa of the rhythms is not worked out" in told
    assert told.partition("settled here")[2].count("to settle") == 3


def test_a_difference_that_was_corrected_is_settled_and_the_agreement_stays_as_typed(twice):
    reports = Reports(twice)
    lone = next(one for one in reports.get(SHEET).report["occurrences"] if one["kind"] == "rosc")
    with reports.changing(SHEET) as folder:
        corrections.append(folder, Correction("drop", lone["lead"]))

    both = second.agreement(reports, SHEET)
    assert both.typed.share == 10 / 11
    assert [settled for _, settled in agreement.differences(both)] == [False, False, True]


def test_without_a_second_entry_or_a_first_there_is_nothing_to_compare(client, shelf):
    post(client, "event")
    assert second.agreement(Reports(shelf), SHEET) is None
    post(client, "event", draft([row("0:00,arrest"), row("1:00,shock")], elapsed=True), sheet=AGAIN)
    with pytest.raises(BadSetting, match="counts from zero"):
        second.agreement(Reports(shelf), SHEET)


def test_a_second_entry_of_no_event_is_refused(client, shelf):
    answer = post(client, "event", sheet="s0123456789")

    assert answer.status_code == 400
    assert shelf.kept is None or shelf.registry.named(second.KIND) == {}


def test_a_log_of_a_device_alone_is_not_compared(client, shelf):
    log = b"time,mark\n10:00:00,pulseless\n10:02:10,shock\n"
    [name] = keep(
        shelf, ("event.json", b'{"sources": [{"file": "l.csv", "kind": "device"}]}'), ("l.csv", log)
    )
    post(client, "event", sheet=second.sheet_of(name))
    with pytest.raises(BadSetting, match="no such source"):
        second.agreement(Reports(shelf), name)
