"""From files to a timeline: dropped, looked over, mapped, remembered, measured."""

import io
import re
import zipfile

import pytest
from playwright.sync_api import expect

DRAWN = "#timeline .barlayer path"

ROWS = (
    ("10:00:05", "patient unresponsive", ""),
    ("10:00:40", "pushing", ""),
    ("10:02:40", "not pushing", ""),
    ("10:02:52", "zap", "200"),
    ("10:02:58", "pushing", ""),
    ("10:04:58", "not pushing", ""),
    ("10:05:20", "pushing", ""),
    ("10:07:00", "Adrenaline 1 mg IV", ""),
    ("10:09:00", "ROSC", ""),
)
MEANT = {
    "patient unresponsive": "recognition",
    "pushing": "compressions_start",
    "not pushing": "compressions_stop",
    "zap": "shock",
}


def own_file(name, rows=ROWS):
    """Return a file whose headings and words are nobody else's."""
    text = "\n".join(["at o'clock;deed;how strong", *(";".join(row) for row in rows)])
    return {"name": name, "mimeType": "text/csv", "buffer": text.encode()}


def drop(page, *files):
    page.goto("/")
    page.locator("#choose-files").set_input_files(list(files))


def choose(page, control, value):
    """Choose from a native list as a person does: turn to it, then choose."""
    control.focus()
    control.select_option(value)
    page.wait_for_load_state("networkidle")


def test_a_file_with_its_own_words_is_mapped_on_screen_and_measured(page):
    drop(page, own_file("ours.csv"))
    page.wait_for_url("**/understood")
    expect(page.locator("#told h2", has_text="ours.csv")).to_be_visible()
    columns = {"at o'clock": "time", "deed": "mark", "how strong": "amount"}
    for name, meaning in columns.items():
        choose(page, page.locator(f'[data-answer="0|column|{name}"]'), meaning)
    for label, kind in MEANT.items():
        choose(page, page.locator(f'[data-answer="0|label|{label}"]'), kind)

    expect(page.locator(".preview tbody tr")).to_have_count(len(ROWS))
    expect(page.locator(".preview tbody tr").nth(3)).to_contain_text("shock")
    expect(page.locator("#open")).to_have_text("Nothing is open.")

    page.locator(".summary a.main").click()
    page.wait_for_selector(DRAWN, state="attached")
    expect(page.locator("ol.sentences li").first).to_contain_text("Hands were on the chest")
    pause = page.locator("button.sentence", has_text="longest pause")
    expect(pause).to_contain_text("22")
    pause.click()
    evidence = page.locator(".evidence")
    expect(evidence.locator("code", has_text="10:04:58")).to_be_visible()
    page.wait_for_url(re.compile(r"from=.*to="))
    expect(pause).to_have_attribute("aria-expanded", "true")


def test_answers_are_remembered_for_files_of_that_layout(page):
    drop(page, own_file("later.csv", [*ROWS[:3], ("10:03:00", "zap", "150"), *ROWS[4:]]))
    page.wait_for_url("**/understood")

    expect(page.locator("#open")).to_have_text("Nothing is open.")
    expect(page.locator(".source .note").first).to_contain_text("remembered")


def test_several_files_are_one_event_or_several_as_asked(page):
    files = [own_file("first.csv", ROWS[:6]), own_file("second.csv", ROWS[3:])]
    drop(page, *files)
    expect(page.get_by_role("group", name="Are these one event or several?")).to_be_visible()
    page.get_by_role("button", name="One event").click()
    page.wait_for_url("**/understood")
    expect(page.locator("section.source")).to_have_count(2)

    drop(page, *files)
    page.get_by_role("button", name="Several events").click()
    became = page.locator("#drop .became a")
    expect(became).to_have_text([re.compile("first holds all of these files"), re.compile("^first holds")])


def test_an_event_can_be_taken_out_of_the_lists(page):
    drop(page, own_file("away.csv", ROWS[2:]))
    page.wait_for_url("**/understood")
    page.goto("/")
    row = page.locator("#kept-events li", has_text="away")
    page.once("dialog", lambda dialog: dialog.accept())
    row.get_by_role("button").click()

    expect(row).to_have_count(0)


def bomb():
    """Return a workbook of a few kilobytes that unpacks to 300 MB."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 300_000_000)
    return file.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("junk.csv", lambda: bytes(range(256)) * 40, "junk.csv"),
        ("heading.csv", lambda: b"time,mark\n", "heading and no row"),
        ("bomb.xlsx", bomb, "unpacks to more than"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(page, name, content, said):
    drop(page, {"name": name, "mimeType": "text/csv", "buffer": content()})
    expect(page.locator("#drop .became .attention")).to_contain_text(said)
    expect(page.locator("#drop .became a")).to_have_count(0)


def test_an_empty_file_is_refused_where_it_was_dropped(page):
    drop(page, {"name": "none.csv", "mimeType": "text/csv", "buffer": b""})

    expect(page.locator("#drop .status")).to_contain_text("none.csv is empty")
    page.complaints.clear()  # the browser tells of the refusal as well


def test_a_weight_that_is_none_is_refused_and_said(page):
    page.goto("/event/pea_child_airway/understood")
    weight = page.get_by_label("Weight, kg")
    expect(weight).to_have_value("21")
    weight.fill("a lot")
    weight.press("Tab")

    expect(page.locator("#answer-status")).to_contain_text("Write kilograms")
    expect(weight).to_have_value("21")
