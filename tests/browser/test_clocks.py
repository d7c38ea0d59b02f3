"""The clocks of an event: seen before and after, set by a reviewer, set back; and what stands apart."""

import json
import re
import shutil

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from debrief.resources import shipped

ROWS = "#clock-rows svg"
SHEET = "#clock-recorders-sheet"

LOG = """time,mark,amount,unit
2026-02-03 10:00:05,compressions start,,
2026-02-03 10:02:11,shock,200,J
2026-02-03 10:04:32,shock,200,J
2026-02-03 10:07:01,shock,200,J
2026-02-03 10:09:40,rosc,,
"""
OTHER = """time,mark,detail,amount,unit
03:00,recognition,,,
03:04,drug,epinephrine,1,mg
03:08,drug,epinephrine,1,mg
03:11,airway,tube,,
"""


@pytest.fixture(scope="module")
def kept(shelf, tmp_path_factory):
    """Two events of two sources each: one whose clock is stated, one whose clock nothing tells."""
    stated = shutil.copytree(
        shipped("sample_events") / "vf_log_and_sheet", tmp_path_factory.mktemp("a") / "two"
    )
    apart = tmp_path_factory.mktemp("b") / "apart"
    apart.mkdir()
    (apart / "log.csv").write_text(LOG)
    (apart / "other.csv").write_text(OTHER)
    sources = [
        {"file": "log.csv", "name": "Invented log", "kind": "device"},
        {"file": "other.csv", "name": "Invented sheet", "kind": "person", "times": "clock"},
    ]
    (apart / "event.json").write_text(json.dumps({"setting": "Invented", "sources": sources}))
    names = [shelf.open(folder)[0] for folder in (stated, apart)]
    yield dict(zip(("stated", "apart"), names, strict=True))
    for name in names:
        shelf.remove(name)


def opened(page, event):
    page.goto(f"/event/{event}/clocks")
    expect(page.locator(ROWS)).to_have_count(2)
    page.wait_for_load_state("networkidle")
    return page


def chosen(page, where, kind, **values):
    """Say what is right in the form of a source, and hand it on."""
    form = page.locator(f'{where} [data-submits="clock-set"]')
    form.locator('[data-answer="kind"]').select_option(kind)
    for name, value in values.items():
        control = form.locator(f'[data-answer="{name}"]')
        if name in ("direction", "role"):
            control.select_option(value)
        else:
            control.fill(value)
    form.get_by_role("button").click()


def leaning(page, number):
    """How far the lines between two rows lean, in the first or the second picture. [px]"""
    return page.evaluate(
        """(number) => {
            const drawn = document.querySelectorAll("#clock-rows svg")[number];
            const lines = drawn.querySelectorAll('[data-id^="pair:"]');
            const leans = Array.from(lines, (line) => line.getBBox().width);
            return leans.reduce((sum, lean) => sum + lean, 0) / leans.length;
        }""",
        number,
    )


def test_the_page_says_where_each_clock_stands_and_lines_come_upright(page, kept):
    opened(page, kept["stated"])

    expect(page.locator("#clock-lead")).to_contain_text(
        "The clock of Recorder's sheet is 1\u202fmin\u00a035\u202fs ahead of that of Monitor log"
    )
    assert page.locator(f'{ROWS} [data-id^="pair:"]').count() > 6
    assert leaning(page, 1) < leaning(page, 0) / 2
    expect(page.locator(f"{SHEET} svg [data-id^='residual:']")).not_to_have_count(0)
    page.get_by_text("Both pictures as a table").click()
    rows = page.locator("#clock-twin tbody tr")
    assert rows.count() > 60
    expect(rows.filter(has_text="Monitor log, 2025-11-06 14:04:34")).to_contain_text("shock 200 J")


def test_a_clock_is_set_by_hand_and_set_back(page, kept):
    opened(page, kept["stated"])
    before = page.locator("#clock-lead p").first.inner_text()
    form = page.locator(f'{SHEET} [data-submits="clock-set"]')
    expect(form.get_by_label("Give or take")).to_be_hidden()
    chosen(page, SHEET, "by_hand", direction="ahead", offset="soon", spread="20")
    expect(page.locator("#clock-status")).to_contain_text("Offset: read 'soon'. Write seconds or minutes")
    chosen(page, SHEET, "by_hand", offset="1:50", spread="20", role="recorder", why="the wall clock")

    expect(page.locator("#clock-lead")).to_contain_text("1\u202fmin\u00a050\u202fs ahead")
    expect(page.locator("#clock-status")).to_be_empty()
    told = page.locator(f"{SHEET} ul.changes li").first
    expect(told).to_contain_text("recorder: by hand, 1\u202fmin\u00a050\u202fs ahead")
    expect(told).to_contain_text("Why: the wall clock")
    page.locator(SHEET).get_by_role("button", name="Undo").click()
    expect(page.locator("#clock-lead p").first).to_have_text(before)
    expect(page.locator(f"{SHEET} ul.changes li").first).to_contain_text("undone")
    expect(page.locator(SHEET).get_by_role("button", name="Undo")).to_have_count(0)


def test_what_stands_apart_has_a_timeline_of_its_own_until_it_is_joined(page, kept):
    page.goto(f"/event/{kept['apart']}")
    apart = page.locator("#apart section")
    expect(apart).to_have_count(1)
    expect(apart.get_by_role("heading")).to_have_text("Standing apart: Invented sheet")
    expect(apart.locator("svg")).to_be_visible()
    axis = apart.locator("svg").text_content()
    assert "03:0" in axis
    assert "10:05" not in axis
    expect(page.locator("#head")).to_contain_text("stands apart")
    assert [] == Axe().run(page, context={"include": [["#apart"]]}).response["violations"]

    apart.get_by_role("link", name="Join it to the others").click()
    expect(page.locator(ROWS)).to_have_count(2)
    where = "#clock-invented-sheet"
    chosen(page, where, "readings", source_reads="03:00:00", reference_reads="soon")
    expect(page.locator("#clock-status")).to_contain_text("'soon'")
    chosen(page, where, "readings", source_reads="03:00:00", reference_reads="09:59:30")
    expect(page.locator("#clock-lead")).to_contain_text("6\u202fh\u00a059\u202fmin\u00a030\u202fs behind")
    page.goto(f"/event/{kept['apart']}")
    page.wait_for_selector("#figures .sentence", state="attached")
    expect(page.locator("#timeline .barlayer path").first).to_be_attached()
    expect(page.locator("#apart section")).to_have_count(0)


def test_the_reference_is_chosen_and_left_to_the_rules_again(page, kept):
    opened(page, kept["stated"])
    choice = page.locator('[data-answer="reference"]')
    choice.select_option(label="Recorder's sheet")
    expect(page.get_by_role("heading", name="On the clock of Recorder's sheet")).to_be_visible()
    choice.select_option("")
    expect(page.get_by_role("heading", name="On the clock of Monitor log")).to_be_visible()


def test_marks_are_shown_as_written_against_aligned(page, kept):
    page.goto(f"/event/{kept['stated']}")
    page.wait_for_selector("#marks tbody tr", state="attached")
    column = page.locator("#marks th", has_text="on the reference clock")
    expect(column).to_be_hidden()
    control = page.get_by_role("button", name="Written against aligned")
    control.click()
    expect(control).to_have_attribute("aria-pressed", "true")
    expect(column).to_be_visible()
    row = page.locator("#marks tbody tr", has_text="Crash call")
    expect(row).to_contain_text("14:02")
    expect(row).to_contain_text("14:00:55")
    page.locator('[data-value="time_to_first_epinephrine"]').first.click()
    page.wait_for_selector(".evidence dl")
    control.click()
    expect(column).to_be_hidden()


@pytest.mark.parametrize("name", ["stated", "apart"])
def test_no_barrier_is_found_and_on_a_tablet_nothing_is_cut_off(page, address, kept, name):
    page.context.add_cookies([{"name": "theme", "value": "light", "url": address}])
    opened(page, kept[name])
    page.get_by_text("Both pictures as a table").click()
    page.locator('[data-submits="clock-set"] [data-answer="kind"]').first.select_option("readings")
    found = Axe().run(page, context={"exclude": [["#clock-twin tr:nth-child(n+8)"]]}).response
    assert [] == [(one["id"], one["nodes"][0]["target"]) for one in found["violations"]]
    page.get_by_role("button", name="Light or dim").click()
    found = Axe().run(page, options={"runOnly": ["color-contrast"]}).response["violations"]
    assert [] == [(one["id"], one["nodes"][0]["target"]) for one in found]

    page.set_viewport_size({"width": 820, "height": 1180})
    expect(page.locator(ROWS).first).to_have_attribute("width", re.compile(r"7\d\d"))
    wide = page.evaluate("document.documentElement.scrollWidth")
    small = page.evaluate(
        """() => [...document.querySelectorAll("button, select, input, summary, nav a")]
            .filter((one) => one.offsetParent && one.type !== "hidden")
            .map((one) => [one.innerText || one.tagName, one.getBoundingClientRect().height])
            .filter(([, height]) => height < 24)"""
    )
    page.set_viewport_size({"width": 1440, "height": 1000})
    page.context.clear_cookies()
    assert wide <= 820
    assert [] == small
