"""A sheet typed from paper: by keyboard alone, with words that complete, undo, a picture, two windows."""

import re
import shutil
import struct
import zlib

import pytest
from playwright.sync_api import expect

from debrief.dashboard.typed.drafts import SHEET_ID
from tests.browser.test_pages import barriers, shown

ROWS = """1403|arrest
+1|CPR started
+1|rhythm|VF
+0|shock||200|J
+1|adr||1|mg|iv
1406:30|cpr stopped
1406:38|cpr resumed
1407|rhythm|VF
+0|shock||200|J
+1|amio||300|mg|iv
+1|adr||1|mg|io
+1|tube placed
+0:30|cpr stopped
+0|rhythm check|sinus rhythm
+0|ROSC"""


def png(wide, high):
    """Return a grey picture of that many pixels."""

    def chunk(kind, content):
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        )

    lines = (b"\0" + b"\x80" * wide) * high
    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(lines))
        + chunk(b"IEND", b"")
    )


@pytest.fixture
def sheet(page, shelf):
    """The page with an empty sheet; what is kept of it goes afterwards."""
    shown(page, "/type")
    page.wait_for_selector("#typed-rows input")
    yield page
    page.goto("about:blank")
    shutil.rmtree(shelf.typing_folder, ignore_errors=True)
    for name in filter(SHEET_ID.fullmatch, shelf.names()):
        shelf.remove(name)


def typed(page, rows):
    for row in rows:
        for number, cell in enumerate(row.split("|")):
            if number:
                page.keyboard.press("Tab")
            page.keyboard.type(cell)
        page.keyboard.press("Enter")


def cell(page, row, name):
    return page.get_by_label(re.compile(f"^Row {row}, {name}$"))


def said(page, row):
    return page.locator("#typed-rows tr").nth(row - 1).locator(".understood")


def test_a_sheet_of_fifteen_rows_becomes_an_event_without_a_mouse(sheet):
    typed(sheet, ROWS.replace("1406:30", "14:06:30").replace("1406:38", "14:06:38").splitlines())
    expect(said(sheet, 15)).to_contain_text("ROSC")
    expect(said(sheet, 5)).to_have_text("14:06 · epinephrine 1 mg, iv")
    expect(sheet.locator("#typed-timeline svg")).to_be_visible()
    expect(sheet.locator("#typed-figures")).to_contain_text("The first shock came 2:00 after recognition.")
    expect(sheet.locator("#typed-status")).to_have_text("Kept on this computer.")
    sheet.keyboard.press("Escape")
    sheet.keyboard.press("Enter")

    sheet.wait_for_url("**/event/t*")
    figures = sheet.locator("#figures")
    expect(figures).to_contain_text("The first shock came 2:00 after recognition")
    expect(figures).to_contain_text("The first epinephrine came 3:00 after recognition")
    expect(figures).to_contain_text("The gap between epinephrine doses was 3:00")


def test_what_was_typed_is_there_again_after_a_reload_and_from_the_start_page(sheet):
    typed(sheet, ["1403|arrest", "+1|CPR started"])
    expect(sheet.locator("#typed-status")).to_have_text("Kept on this computer.")
    sheet.reload()
    sheet.wait_for_selector("#typed-rows input")
    expect(cell(sheet, 2, "time")).to_have_value("+1")
    expect(said(sheet, 2)).to_have_text("14:04 · compressions start")

    sheet.get_by_role("button", name="Make it an event").click()
    sheet.wait_for_url("**/event/t*")
    shown(sheet, "/")
    sheet.get_by_role("link", name="Go on typing").first.click()
    sheet.wait_for_selector("#typed-rows input")
    expect(cell(sheet, 2, "what happened")).to_have_value("CPR started")
    expect(sheet.get_by_role("button", name="Bring the event up to date")).to_be_visible()


def test_without_the_program_rows_stay_in_the_browser_and_are_sent_later(sheet):
    sheet.context.set_offline(True)
    typed(sheet, ["1403|arrest"])
    expect(sheet.locator("#typed-status")).to_contain_text("kept in this browser")
    sheet.context.set_offline(False)
    expect(sheet.locator("#typed-status")).to_have_text("Kept on this computer.", timeout=8000)
    sheet.complaints.clear()  # the browser says itself that it was offline


def test_where_the_shelf_cannot_be_written_rows_stay_and_can_be_taken_along(sheet, shelf):
    shutil.rmtree(shelf.typing_folder, ignore_errors=True)
    shelf.typing_folder.write_text("in the way")
    try:
        typed(sheet, ["1403|arrest", "+1|CPR started"])
        expect(sheet.locator("#typed-status")).to_contain_text("What you type stays in this browser")
        with sheet.expect_download() as taken:
            sheet.get_by_role("link", name="Take the rows as a file").click()
        assert taken.value.path().read_text().splitlines()[2] == "14:04,CPR started,,,,,"
        sheet.reload()
        sheet.wait_for_selector("#typed-rows input")
        expect(cell(sheet, 2, "time")).to_have_value("+1")
    finally:
        shelf.typing_folder.unlink()
    expect(sheet.locator("#typed-status")).to_have_text("Kept on this computer.", timeout=8000)
    sheet.complaints.clear()  # the browser says itself that the answer was 507


def test_words_are_offered_and_taken_only_when_chosen(sheet):
    sheet.keyboard.type("1403")
    sheet.keyboard.press("Tab")
    sheet.keyboard.type("adre")
    choices = sheet.get_by_role("listbox")
    expect(choices).to_be_visible()
    sheet.keyboard.press("ArrowDown")
    sheet.keyboard.press("Enter")
    expect(cell(sheet, 1, "what happened")).to_have_value("epinephrine")
    expect(choices).to_be_hidden()

    sheet.keyboard.press("Enter")
    sheet.keyboard.type("+1")
    sheet.keyboard.press("Tab")
    sheet.keyboard.type("amio")
    sheet.keyboard.press("Enter")
    expect(cell(sheet, 2, "what happened")).to_have_value("amio")


def test_a_usual_dose_is_filled_in_by_its_key_alone(sheet):
    typed(sheet, ["1403|adr"])
    expect(said(sheet, 1)).to_have_text("14:03 · epinephrine")
    assert cell(sheet, 1, "amount").input_value() == ""
    sheet.keyboard.press("ArrowUp")
    expect(sheet.locator("#typed-hint")).to_contain_text(
        "Usual here, adult: 1 mg (AHA 2020). F2 fills it in."
    )
    expect(sheet.locator("#typed-hint")).to_contain_text("Circulation 2020")
    sheet.keyboard.press("F2")
    expect(cell(sheet, 1, "amount")).to_have_value("1")
    expect(cell(sheet, 1, "unit")).to_have_value("mg")


def test_rows_are_inserted_moved_deleted_copied_undone_and_redone(sheet):
    typed(sheet, ["1403|arrest", "1405|ROSC"])
    times = lambda: [cell(sheet, row, "time").input_value() for row in (1, 2, 3)]  # noqa: E731
    sheet.keyboard.press("ArrowUp")
    sheet.keyboard.press("Control+Enter")
    assert times() == ["1403", "", "1405"]
    sheet.keyboard.press("Control+d")
    assert times() == ["1403", "1403", "1405"]
    sheet.keyboard.press("Alt+ArrowDown")
    assert times() == ["1403", "1405", "1403"]
    sheet.keyboard.press("Control+Delete")
    assert times() == ["1403", "1405", ""]
    for expected in (["1403", "1405", "1403"], ["1403", "1403", "1405"], ["1403", "", "1405"]):
        sheet.keyboard.press("Control+z")
        assert times() == expected
    sheet.keyboard.press("Control+y")
    assert times() == ["1403", "1403", "1405"]


def test_a_block_from_a_spreadsheet_is_spread_over_cells(sheet):
    block = '1403\tarrest\n1404\tshock\t\t200\tJ\n1405\tnote\t\t\t\t\t"two\nlines"\n'
    paste = """(text) => { const data = new DataTransfer(); data.setData("text/plain", text);
        document.activeElement.dispatchEvent(new ClipboardEvent("paste",
        { clipboardData: data, bubbles: true, cancelable: true })); }"""
    sheet.evaluate(paste, block)
    expect(cell(sheet, 2, "amount")).to_have_value("200")
    expect(cell(sheet, 3, "note")).to_have_value("two lines")
    expect(said(sheet, 2)).to_have_text("14:04 · shock 200 J")

    sheet.evaluate(paste, "".join(f"{1500 + at % 60}\tnote\n" for at in range(300)))
    expect(cell(sheet, 300, "what happened")).to_have_value("note")


def test_a_picture_stands_beside_the_rows_and_can_be_turned(sheet, tmp_path):
    (tmp_path / "scan.png").write_bytes(png(40, 80))
    (tmp_path / "scan.pdf").write_bytes(b"MZ not a picture")
    sheet.locator("#typed-picture-file").set_input_files(tmp_path / "scan.pdf")
    expect(sheet.locator("#typed-status")).to_contain_text("This is no picture that can be shown.")
    sheet.complaints.clear()  # the browser says itself that the answer was 400
    sheet.locator("#typed-picture-file").set_input_files(tmp_path / "scan.png")
    image = sheet.get_by_alt_text("The sheet on paper")
    expect(image).to_be_visible()
    upright = image.bounding_box()
    sheet.get_by_role("button", name="Turn").click()
    lying = image.bounding_box()
    assert upright["height"] > upright["width"]
    assert lying["width"] > lying["height"]


def test_of_two_windows_on_one_sheet_neither_loses_its_rows(sheet):
    typed(sheet, ["1403|arrest"])
    expect(sheet.locator("#typed-status")).to_have_text("Kept on this computer.")
    other = sheet.context.new_page()
    other.goto(sheet.url)
    other.wait_for_selector("#typed-rows input")
    typed(other, ["1404|CPR started"])
    expect(other.locator("#typed-status")).to_have_text("Kept on this computer.")
    typed(sheet, ["1405|shock"])
    expect(sheet.locator("#typed-status")).to_contain_text("changed in another window")
    sheet.complaints.clear()  # the browser says itself that the answer was 409
    before = sheet.url
    sheet.get_by_role("button", name="Keep this as a sheet of its own").click()
    expect(sheet.locator("#typed-status")).to_have_text("Kept on this computer.")
    assert sheet.url != before
    expect(cell(sheet, 2, "time")).to_have_value("1405")
    other.reload()
    expect(cell(other, 2, "time")).to_have_value("1404")
    other.close()


def test_no_barrier_is_found_in_either_light_or_on_a_tablet(sheet, address):
    sheet.context.add_cookies([{"name": "theme", "value": "light", "url": address}])
    sheet.reload()
    sheet.wait_for_selector("#typed-rows input")
    typed(sheet, ["1403|arrest", "1401|wibbled||||given by Smithers"])
    sheet.keyboard.type("+1")
    sheet.keyboard.press("Tab")
    sheet.keyboard.type("compr")
    sheet.keyboard.press("ArrowDown")
    expect(said(sheet, 2)).to_contain_text("not understood")
    assert [] == barriers(sheet)
    sheet.get_by_role("button", name="Light or dim").click()
    assert [] == barriers(sheet, options={"runOnly": ["color-contrast"]})

    sheet.set_viewport_size({"width": 820, "height": 1180})
    wide = sheet.evaluate("document.documentElement.scrollWidth")
    sheet.set_viewport_size({"width": 1440, "height": 1000})
    assert wide <= 820
