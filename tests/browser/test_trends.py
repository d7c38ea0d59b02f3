"""The page of trends in the browser: chosen, read, followed to the events, in both lights."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.test_pages import barriers
from tests.cohorts.filled import fill


@pytest.fixture
def filled(page, shelf):
    """Invented events that are taken out again afterwards, since the shelf is for all tests."""
    before = set(shelf.names())
    fill(shelf.registry, 120, first=9_000_001)
    yield
    page.goto("about:blank")
    for name in set(shelf.names()) - before:
        shelf.registry.remove(name)


def test_a_trend_is_chosen_read_and_followed_to_its_events(page, filled):
    page.goto("/trends")
    expect(page).to_have_title(re.compile("Trends"))
    expect(page.locator("#trend-shown svg")).to_be_visible()
    assert [] == barriers(page)

    page.locator('[data-asks="measure"]').select_option("longest_pause")
    expect(page.locator("#trend-shown h2.measure")).to_have_text("Longest pause")
    expect(page).to_have_url(re.compile("measure=longest_pause"))
    page.locator('[data-asks="unit"]').select_option("Beech ward")
    expect(page.locator("#trend-shown .told")).to_contain_text("unit=Beech ward")
    page.reload()
    expect(page.locator("#trend-shown .told")).to_contain_text("unit=Beech ward")

    page.get_by_role("button", name="Light or dim").click()
    page.locator("#trend-shown details summary").click()
    assert [] == barriers(page)
    page.get_by_role("button", name="Light or dim").click()

    page.set_viewport_size({"width": 820, "height": 1000})
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.set_viewport_size({"width": 1440, "height": 1000})

    point = page.locator('#trend-shown svg a[href^="/events"]').first
    point.focus()
    expect(point).to_have_accessible_name(re.compile("2024-01: "))
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile("/events.unit=Beech"))
    expect(page.locator("#events tbody tr")).not_to_have_count(0)
