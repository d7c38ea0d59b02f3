"""The page of one event: what it shows, how it is walked through, what can be changed."""

import re

from playwright.sync_api import expect

from tests.browser.test_pages import barriers

DRAWN = "#timeline .barlayer path"
EVENT = "/event/vf_log_and_sheet"
SENSOR = "/event/sensor_then_device"
GRAPH = "document.querySelector('#timeline .js-plotly-plot')"
INK = f"{GRAPH}._fullLayout.xaxis.linecolor"
TAKE = '[data-set="taken"]'
STROKES = f"{GRAPH}.data.some((one) => one.name === 'compressions')"


def opened(page, path=EVENT):
    page.goto(path)
    page.wait_for_selector(DRAWN, state="attached")
    page.wait_for_selector("#steps li", state="attached")
    page.wait_for_selector("#figures .sentence", state="attached")
    return page


def x_of(page):
    """Where the line of stepping stands, null where it is not shown. [px]"""
    return page.evaluate(
        """() => {
            const line = document.getElementById("playhead");
            return line.hidden ? null : line.getBoundingClientRect().x;
        }"""
    )


def test_the_page_tells_the_event_and_each_thing_leads_to_its_evidence(page):
    opened(page)

    expect(page.locator("#head")).to_contain_text("Could not be seen:")
    expect(page.locator("ol.sentences").first.locator("li").first).to_contain_text("Hands were on the chest")
    expect(page.locator("footer").first).to_contain_text("Not a medical device")
    expect(page.locator("footer").first).to_contain_text("Invented data")
    assert page.locator("[data-title*='Share'], .modebar-btn").count() == 0

    box = page.locator("#timeline .barlayer .point path").nth(3).bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator("#picked .evidence h2")).to_be_visible()

    page.locator("details.twin summary").click()
    assert page.locator("#twin tbody tr").count() > 40
    expect(page.locator("#twin")).to_contain_text("Hands off for")
    expect(page.locator("#twin")).to_contain_text("shock 200 J", ignore_case=True)


def test_every_pause_can_be_cut_to_a_length_by_keyboard_and_the_sum_is_said(page):
    opened(page)
    cap = page.locator("#what-if")
    bar = page.locator(".capped i").first
    before = bar.bounding_box()["width"]
    expect(page.locator(".what-if .said")).to_contain_text(
        "at most 10\u202fs, hands would have been on for 91"
    )
    cap.focus()
    page.keyboard.press("Home")

    expect(cap).to_have_value("2")
    expect(page.locator(".what-if output")).to_have_text("2\u202fs")
    expect(page.locator(".what-if .said")).to_contain_text(
        "at most 2\u202fs, hands would have been on for 98"
    )
    assert cap.get_attribute("aria-valuetext") == "2\u202fs: hands on for 98\u202f%"
    assert bar.bounding_box()["width"] < before / 3
    page.keyboard.press("End")
    expect(page.locator(".what-if .said")).to_contain_text("88")
    expect(page.locator("#causes")).to_contain_text("not a prediction")


def test_marks_are_stepped_through_by_single_keys_that_can_be_switched_off(page):
    opened(page)
    said = page.locator("#step-said")
    page.keyboard.press(".")
    expect(said).to_contain_text("0:00: recognition. Written 14:01 in recorder_sheet.csv. Mark 1 of")
    first = x_of(page)
    page.keyboard.press(".")
    expect(said).to_contain_text("Mark 2 of")
    page.keyboard.press(",")
    assert x_of(page) == first
    page.keyboard.press("]")
    expect(said).to_contain_text("hands off for")
    expect(said).to_contain_text("Pause 1 of 10.")
    page.keyboard.press("f")
    page.wait_for_url(re.compile(r"from=.*to="))
    expect(page.locator("#shown-words")).to_contain_text("Shown: 1:")
    page.get_by_role("button", name="Mark before").click()
    expect(said).to_contain_text("Written")

    page.locator('[data-answer="time"]').first.focus()
    before = said.inner_text()
    page.keyboard.press(".")
    assert said.inner_text() == before
    page.get_by_role("button", name="Keys").focus()
    page.keyboard.press("?")
    expect(page.get_by_role("dialog", name="Keys")).to_be_visible()
    page.get_by_label("Single keys work").uncheck()
    page.keyboard.press("Escape")
    page.keyboard.press(".")
    assert said.inner_text() == before
    page.get_by_role("button", name="Keys").click()
    page.get_by_label("Single keys work").check()
    page.get_by_role("button", name="Close", exact=True).click()


def test_a_short_view_shows_single_compressions_and_keeps_the_focus(page):
    opened(page, f"{SENSOR}?from=60&to=500")
    assert not page.evaluate(STROKES)
    closer = page.get_by_role("button", name="Closer")
    closer.click()
    expect(page.locator("#shown-words")).to_contain_text("Shown: 2:50")

    page.wait_for_function(STROKES)
    assert closer.evaluate("(one) => one === document.activeElement")

    pager = page.locator("#marks .pager")
    expect(pager).to_contain_text("Rows 1 to 150 of")
    pager.get_by_role("button", name="Rows after").click()
    expect(pager).to_contain_text("Rows 151 to")
    expect(pager.get_by_role("button", name="Rows after")).to_be_disabled()
    page.locator('[data-answers="marks-filter"] [data-answer="kind"]').select_option("compression")
    expect(page.locator("#marks tbody tr")).not_to_have_count(0)
    expect(pager).to_have_count(0)
    before = page.locator("#figures").inner_text()
    page.locator("#marks tbody button").first.click()
    expect(page.locator("#marks tr.out")).to_have_count(1)
    expect(page.locator("#figures")).not_to_have_text(before)
    expect(page.locator('[data-answers="marks-filter"] [data-answer="kind"]')).to_have_value("compression")
    page.locator("#marks tr.out").locator(TAKE).click()
    expect(page.locator("#marks tr.out")).to_have_count(0)


def test_marks_are_taken_out_put_back_and_added_and_time_zero_moves(page):
    opened(page)
    figures = page.locator("#figures")
    before = figures.inner_text()
    page.locator('[data-answers="marks-filter"] [data-answer="kind"]').select_option("shock")
    page.locator("#marks tr", has_text="monitor_log.csv").first.locator(TAKE).click()
    expect(page.locator("#marks tr.out")).to_have_count(1)
    expect(figures).not_to_have_text(before)
    page.locator("#marks tr.out").locator(TAKE).click()
    expect(page.locator("#marks tr.out")).to_have_count(0)
    page.wait_for_load_state("networkidle")
    assert figures.inner_text() == before

    form = page.locator('[data-submits="add-mark"]')
    form.locator('[data-answer="time"]').fill("soon")
    form.locator('[data-answer="kind"]').select_option("note")
    expect(form.get_by_label("Amount")).to_be_hidden()
    form.get_by_role("button").click()
    expect(page.locator("#review-status")).to_contain_text("Time: read 'soon'")
    form.locator('[data-answer="time"]').fill("14:10:00")
    form.locator('[data-answer="kind"]').select_option("drug")
    form.locator('label:not([hidden]) [data-answer="detail"]').select_option("lidocaine")
    form.get_by_label("Amount").fill("100")
    form.get_by_label("Unit").fill("mg")
    form.get_by_label("Route").select_option("io")
    form.get_by_role("button").click()
    page.locator('[data-answers="marks-filter"] [data-answer="kind"]').select_option("drug")
    expect(page.locator("#marks tr", has_text="lidocaine")).to_contain_text("100 mg io")

    zero, first = (
        page.locator('[data-answer="time_zero"]'),
        page.locator('[data-value="time_to_first_shock"]'),
    )
    told = first.inner_text()
    zero.select_option(index=4)
    expect(first).not_to_have_text(told)
    zero.select_option("")
    expect(first).to_have_text(told)
    lidocaine = page.locator("#marks tr", has_text="lidocaine")
    lidocaine.get_by_role("button", name="Correct").click()
    form = page.locator("#correction form")
    expect(form.locator('[data-answer="time"]')).to_be_focused()
    assert [] == barriers(page)
    form.get_by_label("Amount").fill("150")
    form.get_by_label("By role").select_option("nurse")
    form.get_by_label("Why").fill("the chart says so")
    form.get_by_role("button", name="Keep").click()
    expect(lidocaine).to_contain_text("150 mg")
    changes = page.locator("#changes")
    expect(changes.locator("li").first).to_contain_text("the amount from 100 mg to 150 mg ward nurse")
    changes.get_by_role("button", name="Undo").first.click()
    expect(lidocaine).to_contain_text("100 mg")
    lidocaine.locator(TAKE).click()
    expect(page.locator("#marks tr.out", has_text="lidocaine")).to_have_count(1)


def test_the_address_holds_the_stretch_and_the_editions_and_dragging_moves_it(page):
    opened(page, f"{EVENT}?from=240&to=420&edition=ERC+2021")
    expect(page.locator('[data-answer="edition"]')).to_have_value("ERC 2021")
    expect(page.locator("#shown-words")).to_contain_text("Shown: 4:00 to 7:00")

    box = page.locator("#timeline").bounding_box()
    page.mouse.move(box["x"] + 500, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 60, steps=4)
    page.mouse.up()
    page.wait_for_url(re.compile(r"from=2[5-9]\d|from=3\d\d"))
    expect(page.locator("#shown-words")).not_to_contain_text("4:00 to")

    page.get_by_role("button", name="Whole event").click()
    expect(page.locator("#shown-words")).to_have_text("The whole event is shown.")
    page.locator('[data-answer="edition"]').select_option("AHA 2020")
    page.wait_for_url(re.compile("AHA"))
    expect(page.locator("#figures")).to_contain_text("AHA 2020")
    page.locator('[data-answer="beside"]').select_option("ERC 2025")
    page.wait_for_url(re.compile("beside=ERC"))
    expect(page.locator("#figures .beside", has_text="less than 5 s, ERC 2025: not met")).to_be_visible()


def test_the_light_changes_at_once_is_kept_and_paper_is_always_light(page):
    page.context.clear_cookies()
    page.emulate_media(color_scheme="dark")
    opened(page)
    ground = "getComputedStyle(document.body).backgroundColor"
    dim, ink = page.evaluate(ground), page.evaluate(INK)
    button = page.get_by_role("button", name="Light or dim")
    button.click()
    assert page.evaluate(ground) != dim
    assert page.evaluate(INK) != ink, "the graph waits for nobody"
    button.click()
    assert (page.evaluate(ground), page.evaluate(INK)) == (dim, ink)
    button.click()
    page.reload()
    page.wait_for_selector(DRAWN, state="attached")
    page.wait_for_selector("#paper svg", state="attached")
    assert page.evaluate(ground) != dim
    button.click()

    page.emulate_media(media="print")
    expect(page.locator("#paper svg")).to_be_visible()
    expect(page.locator("#timeline")).to_be_hidden()
    assert page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--ink')") == "#1D2530"
    for paper, size in (("A4", b"841"), ("Letter", b"792")):
        printed = page.pdf(format=paper, prefer_css_page_size=True)
        width = re.search(rb"/MediaBox \[0 0 (\d+)", printed)[1]
        assert abs(int(width) - int(size)) <= 2, "it lies on its side"
    page.emulate_media(media="screen", color_scheme="light")
    page.context.clear_cookies()


def test_the_keyboard_reaches_everything(page):
    opened(page)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#main"
    seen = set()
    for _ in range(22):
        page.keyboard.press("Tab")
        seen.add(page.evaluate("(document.activeElement.innerText || document.activeElement.tagName)"))
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
    assert {"Closer", "Whole event", "Mark after", "Zoom to it", "Keys", "INPUT"} <= seen

    page.locator("button.sentence").nth(1).focus()
    page.keyboard.press("Enter")
    expect(page.locator(".evidence dl")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.locator(".evidence dl")).to_have_count(0)
