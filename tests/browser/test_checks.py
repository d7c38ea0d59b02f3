"""The log of clock checks on its page: written down, shown over time, withdrawn and counted again."""

import json
import re

import pytest
from playwright.sync_api import expect

from debrief.clocks.log import add, new_check, read_log, today
from debrief.model.event import ClockCheck
from tests.browser.test_pages import barriers, shown


@pytest.fixture
def log(shelf):
    shelf.clock_log.unlink(missing_ok=True)
    yield shelf.clock_log
    shelf.clock_log.unlink(missing_ok=True)


def fill(page, device, reads, beside, role=""):
    page.get_by_label("Device, as its label says").fill(device)
    page.get_by_label(re.compile("^It read")).fill(reads)
    page.get_by_label("when the other clock read").fill(beside)
    if role:
        page.get_by_label("Who checked, by role").fill(role)
    page.get_by_role("button", name="Keep this check").click()


def test_a_check_is_written_down_and_what_stays_the_same_is_kept_for_the_next(page, log):
    shown(page, "/checks")
    expect(page.locator("#checked-devices")).to_contain_text("No clock has been checked yet")
    fill(page, "Defibrillator 2", "14:03:20", "14:05:02", "ward nurse")
    status = page.get_by_role("status").filter(has_text="Kept as")
    expect(status).to_contain_text("behind network time")
    expect(page.get_by_role("heading", name="Defibrillator 2")).to_be_visible()
    expect(
        page.get_by_role("img", name=re.compile("Defibrillator 2 beside network time: 1 "))
    ).to_be_visible()
    expect(page.get_by_label("Device, as its label says")).to_have_value("")
    expect(page.get_by_label("Who checked, by role")).to_have_value("ward nurse")

    fill(page, "Monitor bay 4", "14:03:20", "14:03:20")
    expect(page.locator("section.device")).to_have_count(2)
    entries = read_log(log).entries
    assert [entry.role for entry in entries] == ["ward nurse"] * 2
    assert {entry.check.date for entry in entries} == {today().isoformat()}
    assert page.locator("#known-device option").first.get_attribute("value") == "Defibrillator 2"


def test_what_cannot_be_is_said_and_the_form_stays_as_it_was_filled(page, log):
    shown(page, "/checks")
    fill(page, "Defibrillator 2", "quarter past two", "14:05:02")

    expect(page.locator("#check-status")).to_contain_text("'quarter past two'")
    expect(page.get_by_label("Device, as its label says")).to_have_value("Defibrillator 2")
    assert not log.exists()


def test_a_check_is_withdrawn_and_counts_again(page, log):
    add(log, new_check("Defibrillator 2", ClockCheck("14:03", "14:05")))
    shown(page, "/checks")
    page.get_by_text("One check as a table").click()
    page.get_by_role("button", name="Withdraw").click()
    expect(page.locator("tr.out")).to_contain_text("withdrawn")
    expect(page.locator("#checked-devices")).to_contain_text("No check counts.")
    assert read_log(log).counted == ()

    page.get_by_role("button", name="Count again").click()
    expect(page.locator("#checked-devices")).to_contain_text("Last checked today.")
    assert len(read_log(log).counted) == 1


def test_a_source_says_which_device_it_came_from(page, log, shelf):
    add(log, new_check("Defibrillator 2", ClockCheck("14:03", "14:05")))
    shown(page, "/event/vf_log_and_sheet/clocks")
    choice = page.locator("section.clock").first.get_by_label("Which device of the clock checks it came from")
    choice.select_option("Defibrillator 2")
    file = shelf.folder("vf_log_and_sheet") / "event.json"
    expect(page.locator("#clock-status")).to_be_empty()
    page.wait_for_function(
        "() => document.querySelectorAll('[data-answer=device] option[selected]')[0].value"
    )
    assert [one.get("device") for one in json.loads(file.read_text())["sources"]] == ["Defibrillator 2", None]
    assert [] == barriers(page)

    choice.select_option("")
    page.wait_for_function(
        "() => !document.querySelectorAll('[data-answer=device] option[selected]')[0].value"
    )
    assert "device" not in json.loads(file.read_text())["sources"][0]


def test_no_barrier_is_found_in_either_light_and_on_a_tablet_nothing_is_cut_off(page, address, log):
    for day, beside, then_set in (("2026-01-10", "14:05:02", False), ("2026-02-20", "14:05:20", True)):
        add(log, new_check("Defibrillator 2", ClockCheck("14:03:20", beside, day, then_set=then_set)))
    add(log, new_check("Monitor bay 4", ClockCheck("14:03", "14:05")))
    with log.open("a") as file:
        file.write("broken\n")
    page.context.add_cookies([{"name": "theme", "value": "light", "url": address}])
    shown(page, "/checks")
    page.locator("details summary").first.click()
    expect(page.locator("#checked-devices")).to_contain_text("line 4")
    expect(page.locator("svg").first).to_contain_text("stale from")
    assert [] == barriers(page)
    page.set_viewport_size({"width": 820, "height": 1180})
    wide = page.evaluate("document.documentElement.scrollWidth")
    page.set_viewport_size({"width": 1440, "height": 1000})
    assert wide <= 820

    page.get_by_role("button", name="Light or dim").click()
    assert [] == barriers(page, options={"runOnly": ["color-contrast"]})
    page.context.clear_cookies()
