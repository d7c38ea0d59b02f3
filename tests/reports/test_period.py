"""The report of a period: what stands on it, the same bytes each time, and what cannot be asked."""

import shutil
import subprocess

import pytest

from debrief.cohorts.kept import COHORT
from debrief.errors import BadSetting
from debrief.registry.store import Registry
from debrief.reports.period import period_of, period_report
from tests.cohorts.filled import BECAUSE, fill


@pytest.fixture(scope="module")
def registry(tmp_path_factory):
    with Registry(tmp_path_factory.mktemp("home"), create=True) as kept:
        fill(kept, 240)
        kept.name(COHORT, "Nights", {"where": ["shift=night"]})
        yield kept


def text_of(page, tmp_path):
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    path = tmp_path / "report.pdf"
    path.write_bytes(page)
    told = subprocess.run(["pdftotext", path, "-"], capture_output=True, check=True).stdout.decode()
    return " ".join(told.split())


def test_a_month_says_its_figures_signals_exclusions_and_caution(registry, tmp_path):
    site = tmp_path / "site.toml"
    site.write_text('confidentiality = "For the committee alone."\n')
    registry.review("event 00001", "excluded", "nurse", "a drill")
    page = period_report(registry, period_of("2025-12", None), site=site)
    assert page == period_report(registry, period_of("2025-12", None), site=site)
    told = text_of(page, tmp_path)
    for said in (
        "2025-12, across events",
        "10 events in the period, 230 in the 23 months before it",
        "For the committee alone.",
        "not a medical device",
        "Invented data",
        "1 excluded by a reviewer (event 00001)",
        "% met",
        "% yes",
        "What signals",
        BECAUSE,
        "Targets of AHA",
        "definitions",
    ):
        assert said.casefold() in told.casefold(), said
    assert "2025-12" in told[told.index("upper limit") :], "the chart's words are text"


def test_a_cohort_and_a_year_choose_the_events(registry, tmp_path):
    whole = text_of(period_report(registry, period_of(None, "2025"), paper="letter"), tmp_path)
    nights = text_of(period_report(registry, period_of(None, "2025"), "Nights"), tmp_path)
    assert "120 events in the period" in whole
    assert "Cohort: Nights (shift=night)." in nights
    assert "120 events in the period" not in nights


def test_a_period_without_events_is_a_report_that_says_so(registry, tmp_path):
    told = text_of(period_report(registry, period_of("2031-01", None)), tmp_path)
    assert "No event of the registry lies in this period." in told
    assert "Nothing to draw: No event counts" in told


@pytest.mark.parametrize(
    ("month", "year", "said"),
    [
        (None, None, "one of"),
        ("2026-03", "2026", "one of"),
        ("2026-13", None, "2026-13"),
        (None, "26", "'26'"),
    ],
)
def test_a_period_that_is_none_is_refused(month, year, said):
    with pytest.raises(BadSetting, match=said):
        period_of(month, year)


def test_a_cohort_that_is_not_there_is_refused(registry):
    with pytest.raises(BadSetting, match="Nights"):
        period_report(registry, period_of("2025-12", None), "Days")
