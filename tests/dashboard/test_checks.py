"""The page of clock checks without a browser: text stays text, the site's limit holds."""

import re
from datetime import timedelta

import pytest

from debrief.clocks.log import Entry, Log, add, new_check, read_log, today
from debrief.dashboard.markup import to_html
from debrief.dashboard.pages.checks import Filled, asking, listed
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.model.event import ClockCheck

HOSTILE = '<script>alert("x")</script>'


def entry(days=0, device="Defibrillator 2", role="", **more):
    day = (today() - timedelta(days=days)).isoformat()
    return Entry("1", device, ClockCheck("14:03", "14:05", day, "network time"), role, **more)


def test_what_somebody_wrote_is_shown_as_text():
    log = Log((entry(device=HOSTILE, role=HOSTILE),), (HOSTILE,))
    text = to_html(listed(log)) + to_html(asking(log, Filled(HOSTILE, HOSTILE, HOSTILE)))

    assert "<script" not in text
    assert text.count("&lt;script") >= 6


def test_the_form_has_what_stayed_the_same_and_what_is_known_to_choose_from():
    log = Log((entry(role="porter"), entry(device="Monitor", role="porter")))
    text = to_html(asking(log, Filled("wall clock", "2026-01-02", "nurse")))

    for value in ("wall clock", "2026-01-02", "nurse"):
        assert f'value="{value}"' in text
    known = re.findall(r'<datalist id="known-(\w+)">(.*?)</datalist>', text)
    assert {name: re.findall('value="(.*?)"', options) for name, options in known} == {
        "device": ["Defibrillator 2", "Monitor"],
        "against": ["network time"],
        "role": ["porter"],
    }


@pytest.mark.parametrize(("days", "limit", "stale"), [(20, None, False), (20, 14, True), (31, None, True)])
def test_the_limit_is_that_of_the_site_else_a_month(days, limit, stale):
    text = to_html(listed(Log((entry(days),)), limit))

    assert ("To be checked again" in text) == stale
    assert ("stale from" in text) == stale


def test_an_event_is_measured_anew_where_the_log_or_the_sites_file_changed(tmp_path):
    site = tmp_path / "site.toml"
    reports = Reports(Shelf(tmp_path / "home"), site)
    states = [reports.state("vf_log_and_sheet")]
    add(reports.shelf.clock_log, new_check("Defibrillator 2", ClockCheck("14:03", "14:05")))
    states.append(reports.state("vf_log_and_sheet"))
    site.write_text("clock_check_days = 7\n")
    states.append(reports.state("vf_log_and_sheet"))

    assert len(set(states)) == 3
    assert states[-1] == reports.state("vf_log_and_sheet")


def test_the_pages_judge_by_the_site_and_know_the_checks_of_devices(tmp_path):
    site = tmp_path / "site.toml"
    site.write_text(
        'role = "resuscitation officer"\ndate = 2026-01-31\n'
        '[limit."aha_2020.compression_fraction_adult"]\nat_least = 0.99\n'
    )
    reports = Reports(Shelf(tmp_path / "home"), site)
    name = reports.get("vf_log_and_sheet").event.sources[0].name
    add(reports.shelf.clock_log, new_check(name, ClockCheck("14:03", "14:05")))
    measured = reports.get("vf_log_and_sheet")
    kept = read_log(reports.shelf.clock_log).entries[0]
    fraction = next(one for one in measured.report["figures"] if one["name"] == "chest_compression_fraction")

    assert fraction["target"]["kind"] == "site"
    assert measured.event.sources[0].checks == (kept.check,)
