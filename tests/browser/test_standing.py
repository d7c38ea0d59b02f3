"""Two people on one event: each sees what the other changed, what is typed stays; a locked event is off."""

import pytest
from playwright.sync_api import expect

from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.typed.second import KIND
from tests.browser.test_pages import barriers, shown
from tests.dashboard.made import keep

LOG = b"time,mark\n10:00:00,pulseless\n10:00:20,CPR started\n10:02:00,VF\n10:02:10,shock\n10:09:00,rosc\n"


@pytest.fixture(scope="module")
def event(shelf):
    [name] = keep(shelf, ("bay 4.csv", LOG))
    yield name
    shelf.remove(name)


def test_two_entries_are_compared_without_barriers(page, shelf, event):
    rows = [["10:00", "pulseless", "", "", "", "", ""], ["10:03", "shock", "", "360", "J", "", ""]]
    with shelf.changing(event) as folder:
        settings = read_settings(folder)
        write_settings(folder, settings | {"sources": [{"file": "bay 4.csv", "kind": "person"}]})
    shelf.registry.name(KIND, event, {"rows": rows, "about": {}, "elapsed": False})
    page.goto("/event/bay%204/agreement")
    expect(page.locator("main .lead")).to_contain_text("2 marks stand in both entries")
    expect(page.locator("tbody tr")).to_have_count(5)

    assert [] == barriers(page)


def test_two_who_work_on_one_event_see_each_other_and_lose_nothing(page, browser, address, shelf, event):
    shown(page, "/event/bay%204")
    note = page.locator('#review [data-submits="add-mark"] [data-answer="note"]')
    note.fill("half a sentence")
    there = browser.new_context(base_url=address, viewport={"width": 1280, "height": 900})
    other = there.new_page()
    other.goto("/event/bay%204")
    form = other.locator('[data-submits="standing-entered"]')
    form.get_by_label("Where").fill("Alder ward")
    form.get_by_label("By role").select_option("nurse")
    form.get_by_role("button", name="Keep").click()
    expect(other.locator("#event-name h1")).to_have_text("Alder ward")

    expect(page.locator("#elsewhere-said")).to_contain_text("Changed elsewhere", timeout=9000)
    expect(page.locator("#event-name h1")).not_to_have_text("Alder ward")
    page.get_by_role("button", name="Show it").click()
    expect(page.locator("#event-name h1")).to_have_text("Alder ward")
    expect(note).to_have_value("half a sentence")

    mine = page.locator('[data-submits="standing-entered"]')
    mine.get_by_label("Local reference").fill("K-17")
    mine.get_by_role("button", name="Keep").click()
    expect(other.locator("#elsewhere-said")).to_contain_text("Changed elsewhere", timeout=9000)
    expect(other.get_by_label("Local reference")).to_have_value("K-17")
    told = shelf.registry.settings(event)
    assert (told["unit"], told["local_reference"]) == ("Alder ward", "K-17")

    review = other.get_by_role("form", name="A reviewer says")
    review.get_by_label("A reviewer says").select_option("locked")
    review.get_by_label("Why").fill("audited")
    review.get_by_role("button", name="Keep").click()
    expect(other.locator("#standing-line")).to_contain_text("Locked: nothing of it is changed.")
    expect(page.locator("#standing-line")).to_contain_text("audited", timeout=9000)
    add = page.locator('#review [data-submits="add-mark"] button[type="submit"]')
    expect(add).to_be_disabled()
    assert [] == barriers(page)
    review.get_by_label("A reviewer says").select_option("")
    review.get_by_role("button", name="Keep").click()
    expect(page.locator("#standing-line")).not_to_contain_text("Locked", timeout=9000)
    expect(add).to_be_enabled()
    there.close()
