"""From a dropped file to the sheet in hand: seen first, on the paper chosen, and no barrier on the way."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from debrief.words import say
from tests.browser.test_pages import barriers, shown
from tests.reports.paper import about, poppler, text_of

EVENT = "/event/vf_log_and_sheet"


def drawn_size(page):
    """How many pixels the picture of the sheet has, once it is there."""
    picture = page.get_by_role("img", name="The sheet of")
    page.wait_for_function("(one) => one.complete && one.naturalWidth", arg=picture.element_handle())
    return picture.evaluate("(one) => [one.naturalWidth, one.naturalHeight]")


def taken(page):
    with page.expect_download() as waiting:
        page.get_by_role("link", name=say("sheet.download")).click()
    return waiting.value


@poppler
def test_a_file_is_dropped_seen_as_a_sheet_and_taken_as_a_pdf(page, tmp_path):
    path = tmp_path / "ours.csv"
    rows = (
        "14:03:20,recognition",
        "14:03:42,compressions start",
        "14:05:31,shock",
        "14:09:00,compressions stop",
    )
    path.write_text("\n".join(["time,mark", *rows]) + "\n", encoding="utf-8")
    page.goto("/")
    page.locator("input[type=file]").set_input_files(path)
    page.get_by_role("link", name="Show the timeline").first.click()
    page.wait_for_selector("#figures .sentence", state="attached")

    page.get_by_role("link", name="Sheet", exact=True).click()
    drawn_size(page)
    pdf = Path(taken(page).path()).read_bytes()
    text = text_of(pdf)

    assert about(pdf)["Pages"] == "1"
    assert "Compressions began 22 s after recognition." in text
    assert say("pages.invented") not in text


@poppler
def test_the_paper_and_the_targets_that_are_chosen_are_seen_and_taken(page):
    shown(page, f"{EVENT}/sheet")
    width, height = drawn_size(page)
    assert height / width == pytest.approx(297 / 210, rel=0.01)
    page.get_by_role("link", name="Letter").click()
    page.wait_for_url("**paper=letter**")
    width, height = drawn_size(page)
    assert height / width == pytest.approx(279.4 / 215.9, rel=0.01)
    page.get_by_role("link", name="ERC 2021").click()
    for chosen in ("Letter", "ERC 2021"):
        expect(page.get_by_role("link", name=chosen)).to_have_attribute("aria-current", "true")
    download = taken(page)
    pdf = Path(download.path()).read_bytes()

    assert download.suggested_filename == "vf_log_and_sheet-sheet.pdf"
    assert "letter" in about(pdf)["Page size"]
    assert "Targets of ERC 2021." in text_of(pdf)


def test_the_page_of_the_sheet_has_no_barrier_in_either_light(page, address):
    page.context.add_cookies([{"name": "theme", "value": "light", "url": address}])
    shown(page, f"{EVENT}/sheet")
    drawn_size(page)
    assert [] == barriers(page)
    page.get_by_role("button", name="Light or dim").click()
    assert [] == barriers(page, options={"runOnly": ["color-contrast"]})


def test_on_a_tablet_the_sheet_is_whole(page):
    page.set_viewport_size({"width": 820, "height": 1180})
    shown(page, f"{EVENT}/sheet")
    wide = page.evaluate("document.documentElement.scrollWidth")
    links = page.locator("main a")
    heights = links.evaluate_all("(all) => all.map((one) => one.getBoundingClientRect().height)")
    page.set_viewport_size({"width": 1440, "height": 1000})

    assert wide <= 820
    assert min(heights) >= 24
