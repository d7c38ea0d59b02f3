"""The page of trends: its address says all of it, its words, tables and files, and what cannot be."""

import re
from xml.etree import ElementTree

import pytest
import sqlalchemy as sa

from debrief.cohorts.kept import COHORT
from debrief.dashboard.across.asked import Asked
from debrief.dashboard.across.content import days_of, events_address
from debrief.dashboard.across.made import made
from debrief.dashboard.app import create_app
from debrief.dashboard.pages.trends import FORM, SHOWN, STATUS, keep, said
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.picture.svg import paint_for_paper
from debrief.registry import tables
from debrief.registry.store import Registry
from tests.cohorts.filled import fill


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    home = tmp_path_factory.mktemp("home")
    with Registry(home, create=True) as kept:
        fill(kept, 240)
        kept.name(COHORT, "Nights", {"where": ["shift=night"]})
    return Shelf(home)


@pytest.fixture(scope="module")
def reports(shelf):
    return Reports(shelf)


def shown(reports, search=""):
    return said(reports, Asked.of(search), 1000)


def test_an_address_is_read_and_written_and_what_it_does_not_know_is_left_out():
    search = (
        "?measure=longest_pause&by=quarter&chart=xmr&cohort=A+B&baseline=6&phase=2025-Q1&note=x&unit=U%26V"
    )
    assert str(Asked.of(search)) == search
    assert Asked.of("?by=moon&colour=red") == Asked()
    assert str(Asked.of(None)) == "?measure=time_to_first_shock&by=month"


def test_the_page_tells_chart_signals_summary_registry_who_gaps_and_talks(reports):
    parts = shown(reports)
    told = parts[SHOWN]
    assert parts[STATUS].startswith("First shock, by month: 24 points.")
    for words in (
        "What signals",
        "below the lower limit",
        "with 95 % confidence",
        "By the registry&#39;s own rule",
        "240 events were read, 240 count.",
        "Mending the first would make 240 of 240 events known.",
        "0 of 240 events were talked of.",
        'href="/trends.csv?measure=time_to_first_shock&amp;by=month"',
        'href="/trends/report.pdf?month=2025-12"',
        "<caption>First shock</caption>",
        "Invented data",
    ):
        assert words in told, words


def test_choices_stand_in_the_form_and_every_chart_is_drawn(reports):
    for search in (
        "?by=unit",
        "?by=quarter",
        "?chart=xmr",
        "?chart=run",
        "?chart=g",
        "?chart=t",
        "?chart=km",
    ):
        parts = shown(reports, search)
        assert "<svg" in parts[SHOWN], search
    assert "watched until then" in shown(reports, "?chart=km")[SHOWN]
    chosen = {"?cohort=Nights": "Nights", "?unit=Beech+ward": "Beech ward", "?shift=night": "night"}
    for search, value in chosen.items():
        options = re.findall("<option[^>]*>", shown(reports, search)[FORM])
        assert any("selected" in one and f'value="{value}"' in one for one in options), search


def test_a_phase_has_what_began_there_beside_it(reports):
    told = shown(reports, "?phase=2025-05&note=New+pads+%3Cb%3E")[SHOWN]
    assert "2025-05: New pads &lt;b&gt;" in told


@pytest.mark.parametrize(
    ("search", "words"),
    [
        ("?measure=no_such", "no such figure"),
        ("?cohort=Days", "No cohort has that name"),
        ("?baseline=many", "Write a number of points"),
        ("?phase=2099-01", "No point has that label"),
        ("?weekend=perhaps", "--where weekend"),
        ("?measure=longest_pause&chart=p", "neither judged nor yes or no"),
        ("?measure=longest_pause&chart=km", "Kaplan-Meier is for times"),
        ("?unit=Nowhere", "No event counts"),
    ],
)
def test_what_cannot_be_is_said_in_place_of_the_chart_and_the_form_stays(reports, search, words):
    parts = shown(reports, search)
    assert words in parts[SHOWN]
    assert "<form" in parts[FORM]


def test_a_point_leads_to_its_events(reports):
    monthly = made(reports, Asked.of("?unit=Beech+ward"))
    assert events_address(monthly, 0) == "/events?unit=Beech+ward&since=2024-01-01&until=2024-01-31"
    units = made(reports, Asked.of("?by=unit&from=2025-01-01"))
    assert events_address(units, 0) == "/events?unit=Alder+ward&since=2025-01-01"
    between = made(reports, Asked.of("?chart=g"))
    assert events_address(between, 0).startswith("/events?since=2025-01-")
    assert days_of("2024-Q1") == ("2024-01-01", "2024-03-31")
    assert days_of("2024-02") == ("2024-02-01", "2024-02-29")


def test_many_points_are_drawn_as_far_as_they_can_be_told_apart_and_the_table_has_all(reports):
    found = made(reports, Asked.of("?chart=g"))
    assert len(found.whole.points) > len(found.trend.points) == 60
    assert any("The last 60 of" in note for note in found.trend.notes)


def test_without_events_the_page_says_so(tmp_path):
    parts = said(Reports(Shelf(tmp_path)), Asked(), 1000)
    assert "No event is kept yet." in parts[SHOWN]


def test_files_of_a_trend(shelf):
    client = create_app(shelf).server.test_client()
    table = client.get("/trends.csv?by=quarter").text.splitlines()
    assert table[0].startswith("measure,by,chart,label,n,value,lower,upper,signal,centre")
    assert len(table) == 9
    steps = client.get("/trends.csv?chart=km").text.splitlines()
    assert steps[0] == "time,at_risk,seen,waiting,low,high"
    assert len(steps) > 100
    assert client.get("/trends.svg").text.startswith("<svg")
    page = client.get("/trends/report.pdf?month=2025-12&paper=letter")
    assert page.data.startswith(b"%PDF")
    assert "report-2025-12.pdf" in page.headers["Content-Disposition"]
    for address in ("/trends.csv?measure=x", "/trends.svg?unit=Nowhere", "/trends/report.pdf?month=x"):
        assert client.get(address).status_code == 404


def test_what_is_chosen_is_kept_as_a_cohort_and_taken_out(reports, shelf):
    assert keep(reports, Asked.of("?unit=Emergency&shift=day"), " Days there ") == "Kept as Days there."
    assert shelf.registry.named(COHORT)["Days there"] == {"where": ["unit=Emergency", "shift=day"]}
    named = made(reports, Asked.of("?cohort=Days+there")).cohort
    said_out = made(reports, Asked.of("?unit=Emergency&shift=day")).cohort
    assert named.rows == said_out.rows
    assert keep(reports, Asked(), "Days there") == "Days there is taken out."
    assert list(shelf.registry.named(COHORT)) == ["Nights"]
    assert "Write a name" in keep(reports, Asked(), " ")


def test_the_name_of_a_unit_is_text_on_a_chart_and_never_markup(tmp_path):
    with Registry(tmp_path, create=True) as kept:
        fill(kept, 6)
        with kept.database.writing() as connection:
            connection.execute(sa.update(tables.event).values(unit="A&E <b>bay</b>"))
    found = made(Reports(Shelf(tmp_path)), Asked(by="unit"))
    ElementTree.fromstring(paint_for_paper(found.picture(1000)))
    assert "<b>bay" not in shown(Reports(Shelf(tmp_path)), "?by=unit")[SHOWN]
