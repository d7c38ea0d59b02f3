"""What is one and what is two: each question leads to its answer, and each answer can be undone."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser.test_event import opened
from tests.browser.test_pages import barriers

LOG = """time,mark,detail,amount,unit
14:03:20,compressions_start,,,
14:04:00,shock,,150,J
14:06:00,drug,epinephrine,1,mg
14:07:00,drug,epinephrine,1,mg
14:09:00,compressions_stop,,,
14:09:10,rosc,,,
"""
SHEET = """time,mark,detail,amount,unit
14:04,shock,,200,J
14:06,drug,epinephrine,1,mg
14:09,rosc,,,
"""


@pytest.fixture
def event(page, shelf, tmp_path):
    """An invented event: a shock of two energies, and a dose right between two. Its address, its folder."""
    folder = tmp_path  # its name is another in every test
    (folder / "monitor.csv").write_text(LOG)
    (folder / "sheet.csv").write_text(SHEET)
    clock = {"offset": 0, "low": 0, "high": 0}
    told = {
        "format": 1,
        "setting": "Invented for a test",
        "sources": [{"file": "monitor.csv", "kind": "device"}],
    }
    told["sources"].append({"file": "sheet.csv", "kind": "person", "clock": clock})
    (folder / "event.json").write_text(json.dumps(told))
    [name] = shelf.open(folder)
    yield f"/event/{name}", folder
    page.goto("about:blank")  # the page would still ask for what is gone
    shelf.remove(name)


def test_a_tie_leads_to_its_answer_and_the_answer_can_be_undone(page, event):
    opened(page, event[0])
    tie = page.locator("#problems li", has_text="would fit as well")
    tie.get_by_role("link").click()
    entry = page.locator("ul.links > li", has_text="would fit as well")
    expect(entry).to_be_in_viewport()
    expect(entry.locator("ul.as-written li")).to_have_count(2)

    entry.get_by_role("button", name="Part epinephrine").click()
    expect(tie).to_have_count(0)
    expect(page.locator("#one-by-hand li")).to_have_count(1)
    said = json.loads((event[1] / "corrections.jsonl").read_text().splitlines()[-1])
    assert (said["action"], said["mark"], said["other"]) == ("part", "monitor:4", "sheet:3")
    assert said["reads"] == [
        ["monitor.csv", "14:06:00", "drug"],
        ["sheet.csv", "14:06", "drug"],
    ]
    page.locator("#one-by-hand").get_by_role("button", name="Undo").click()
    expect(tie).to_have_count(1)
    expect(page.locator("#one-by-hand")).to_have_count(0)

    entry.locator("select").select_option(
        label="3:40: drug: epinephrine 1 mg, written 14:07:00 (monitor.csv, line 5)"
    )
    expect(tie).to_have_count(0)
    expect(page.locator("#one-by-hand")).to_contain_text("Linked: drug: epinephrine 1 mg, written 14:07:00")


def test_two_energies_are_told_and_parted_and_linked_again(page, event):
    opened(page, event[0])
    page.get_by_role("link", name="Answer it").first.focus()
    entry = page.locator("ul.links > li", has_text="the figures use shock 150 J")
    entry.get_by_role("button", name="Part shock").click()
    expect(page.locator("#problems")).not_to_contain_text("the figures use shock 150 J")
    page.locator("#links summary", has_text="In one source alone").click()
    choice = page.locator('#links select[data-answer="sheet:2"]')
    choice.select_option(label="0:40: shock 150 J, written 14:04:00 (monitor.csv, line 3)")
    expect(page.locator("#problems")).to_contain_text("the figures use shock 150 J")
    expect(page.locator("#one-by-hand")).to_contain_text("Linked: shock 150 J, written 14:04:00")


def test_what_is_seen_twice_is_parted_where_it_is_picked(page, event):
    opened(page, event[0])
    for summary in page.locator("#links summary").all():
        summary.click()
    assert [] == barriers(page)
    page.evaluate("window.scrollTo(0, 0)")
    for mark in page.locator("#timeline .scatterlayer .point").all():
        box = mark.bounding_box()
        with page.expect_response(lambda answer: "update-component" in answer.url):
            page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        expect(page.locator("#picked h2")).to_be_visible()
        if "shock" in page.locator("#picked h2").inner_text().lower():
            break
    expect(page.locator("#picked ul.links ul.as-written li")).to_have_count(2)
    assert [] == barriers(page)
    before = page.locator("#problems").inner_text()
    page.locator("#picked").get_by_role("button", name="Part").click()
    expect(page.locator("#problems")).not_to_have_text(before)
    expect(page.locator("#one-by-hand li")).to_have_count(1)
