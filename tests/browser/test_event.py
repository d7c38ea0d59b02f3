"""The page of one event: what it shows, what can be changed, and that everybody can use it."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

DRAWN = "#timeline .barlayer path"
EVENT = "/event/vf_log_and_sheet"
PAGES = ("/", EVENT, f"{EVENT}/understood", "/event/vf_untidy_sheet", "/nowhere")


def opened(page, path=EVENT):
    page.goto(path)
    page.wait_for_selector(DRAWN, state="attached")
    page.wait_for_load_state("networkidle")
    return page


def test_the_head_line_the_timeline_and_the_sentences_are_there(page):
    opened(page)

    expect(page.locator("#head")).to_contain_text("Could not be seen:")
    expect(page.locator("ol.sentences").first.locator("li").first).to_contain_text("Hands were on the chest")
    expect(page.locator("footer").first).to_contain_text("Not a medical device")
    expect(page.locator("footer").first).to_contain_text("Invented data")
    expect(page.locator("#causes")).to_contain_text("hands-off seconds went")
    assert page.locator("[data-title*='Share'], .modebar-btn").count() == 0


@pytest.mark.parametrize("light", ["light", "dim"])
@pytest.mark.parametrize("path", PAGES)
def test_no_barrier_is_found(page, address, path, light):
    page.context.add_cookies([{"name": "theme", "value": light, "url": address}])
    page.goto(path)
    page.wait_for_selector("footer .caution")
    page.wait_for_load_state("networkidle")
    if path == EVENT:
        page.locator("button.sentence").nth(1).click()
        page.wait_for_selector(".evidence dl")
        page.locator("details.twin summary").click()
    assert page.evaluate("document.documentElement.dataset.theme") == light

    found = Axe().run(page).response["violations"]
    assert [] == [(one["id"], [node["target"] for node in one["nodes"]][:3]) for one in found]


def test_a_mark_taken_out_changes_the_figures_and_comes_back(page):
    opened(page)
    page.locator('[data-answer="kind"]').last.select_option("shock")
    row = page.locator("#marks tr", has_text="monitor_log.csv").first
    before = page.locator("#figures").inner_text()
    row.get_by_role("button").click()

    expect(page.locator("#marks tr.out")).to_have_count(1)
    expect(page.locator("#figures")).not_to_have_text(before)
    page.locator("#marks tr.out button").click()
    expect(page.locator("#marks tr.out")).to_have_count(0)
    page.wait_for_load_state("networkidle")
    assert page.locator("#figures").inner_text() == before


def test_a_mark_can_be_added_and_what_is_wrong_with_it_is_said(page):
    opened(page)
    form = page.locator('[data-submits="add-mark"]')
    form.locator('[data-answer="time"]').fill("soon")
    form.locator('[data-answer="kind"]').select_option("note")
    form.get_by_role("button").click()
    expect(page.locator("#review-status")).to_contain_text("Time: read soon")

    form.locator('[data-answer="time"]').fill("14:10:00")
    form.locator('[data-answer="note"]').fill("family came in")
    form.get_by_role("button").click()
    expect(page.locator("#marks tr", has_text="family came in")).to_contain_text("10:05")


def test_time_zero_can_be_set_to_a_mark_and_given_back_to_the_rules(page):
    opened(page)
    zero = page.locator('[data-answer="time_zero"]')
    first = page.locator('[data-value="time_to_first_shock"]')
    before = first.inner_text()
    zero.select_option(index=4)

    expect(first).not_to_have_text(before)
    zero.select_option("")
    expect(first).to_have_text(before)


def test_the_address_holds_the_stretch_and_the_edition(page):
    opened(page, f"{EVENT}?from=240&to=420&edition=ERC+2021")

    expect(page.locator('[data-answer="edition"]')).to_have_value("ERC 2021")
    expect(page.locator("#shown-words")).to_contain_text("Shown: 4:00 to 7:00")
    page.get_by_role("button", name="Whole event").click()
    expect(page.locator("#shown-words")).to_have_text("The whole event is shown.")
    page.locator('[data-answer="edition"]').select_option("AHA 2020")
    page.wait_for_url(re.compile("AHA"))
    expect(page.locator("#figures")).to_contain_text("AHA 2020")


def test_dragging_the_timeline_moves_the_stretch_in_the_address(page):
    opened(page, f"{EVENT}?from=240&to=420")
    box = page.locator("#timeline").bounding_box()
    page.mouse.move(box["x"] + 500, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 60, steps=4)
    page.mouse.up()

    page.wait_for_url(re.compile(r"from=2[5-9]\d|from=3\d\d"))
    expect(page.locator("#shown-words")).not_to_contain_text("4:00 to")


def test_one_thing_on_the_timeline_shows_the_marks_behind_it(page):
    opened(page)
    box = page.locator("#timeline .barlayer .point path").nth(3).bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    expect(page.locator("#picked .evidence h3")).to_be_visible()


def test_the_timeline_can_be_read_as_a_table(page):
    opened(page)
    page.locator("details.twin summary").click()

    rows = page.locator("#twin tbody tr")
    assert rows.count() > 40
    expect(page.locator("#twin")).to_contain_text("Hands off for")
    expect(page.locator("#twin")).to_contain_text("shock 200 J", ignore_case=True)


def test_the_keyboard_reaches_everything(page):
    opened(page)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#main"
    seen = set()
    for _ in range(18):
        page.keyboard.press("Tab")
        seen.add(
            page.evaluate(
                "(document.activeElement.innerText || document.activeElement.tagName).split(' ')[0]"
            )
        )
        visible = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert visible != "none"
    assert {"Closer", "Whole", "Hands", "The"} <= seen

    page.locator("button.sentence").nth(1).focus()
    page.keyboard.press("Enter")
    expect(page.locator(".evidence dl")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.locator(".evidence dl")).to_have_count(0)


@pytest.mark.parametrize("path", ["/", EVENT, f"{EVENT}/understood"])
def test_on_a_tablet_nothing_is_cut_off_and_targets_are_large_enough(page, path):
    page.set_viewport_size({"width": 820, "height": 1180})
    page.goto(path)
    page.wait_for_selector("footer .caution")
    page.wait_for_load_state("networkidle")
    wide = page.evaluate("document.documentElement.scrollWidth")
    small = page.evaluate(
        """() => [...document.querySelectorAll("button, select, input, summary, nav a, main li > a, a.main")]
            .filter((one) => one.offsetParent && one.type !== "file")
            .map((one) => [one.innerText || one.tagName, one.getBoundingClientRect().height])
            .filter(([, height]) => height < 24)"""
    )
    timeline, figures = (
        (page.locator(name).bounding_box() for name in ("#timeline", "#figures"))
        if path == EVENT
        else (None, None)
    )
    page.set_viewport_size({"width": 1440, "height": 1000})

    assert wide <= 820
    assert [] == small
    if timeline:
        assert figures["y"] > timeline["y"] + timeline["height"]


def test_the_light_can_be_switched_and_is_kept(page):
    page.context.clear_cookies()
    opened(page)
    ground = "getComputedStyle(document.body).backgroundColor"
    before = page.evaluate(ground)
    page.get_by_role("button", name="Light or dim").click()
    after = page.evaluate(ground)
    assert before != after
    page.reload()
    page.wait_for_selector("footer .caution")

    assert page.evaluate(ground) == after


def test_a_page_that_is_not_there_says_so(page):
    page.goto("/event/nothing")

    expect(page.get_by_role("heading", name="No such event here")).to_be_visible()
