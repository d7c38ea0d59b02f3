"""Workbooks: sheets, kinds of cell, and what is refused before it is opened."""

import datetime as dt
import io
import struct
import zipfile

import openpyxl
import pytest

from debrief.errors import UnreadableFile
from debrief.importers import Mapping, Settings, limits, read_event, understand
from debrief.importers.places import where


def write(path, sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


LOG = [
    ["Time", "Event", "Dose"],
    [dt.time(14, 3), "CPR started", None],
    [dt.time(14, 5), "Adrenaline", "1 mg"],
]


def codes(event):
    return [each.code for each in event.problems]


def test_a_row_is_named_by_sheet_and_row(tmp_path):
    path = write(tmp_path / "sheet.xlsx", {"Log": [[], [], *LOG]})

    event = read_event([path])

    assert event.marks["place"].to_pylist() == ["Log!4", "Log!5"]
    assert event.sources[0].importer == "workbook"


def test_a_place_of_a_problem_names_the_sheet(tmp_path):
    path = write(tmp_path / "sheet.xlsx", {"Log": [*LOG, ["14:6x", "ROSC", None]]})

    (told,) = [each for each in read_event([path]).problems if each.code == "time_unreadable"]

    assert (told.place, where(told.place)) == ("Log!4", "sheet Log row 4")


def test_times_without_any_seconds_are_to_the_minute(tmp_path):
    minutes = read_event([write(tmp_path / "a.xlsx", {"Log": LOG})])
    seconds = read_event([write(tmp_path / "b.xlsx", {"Log": [*LOG, [dt.time(14, 6, 30), "ROSC", None]]})])

    assert minutes.marks["cell"].to_pylist() == [60_000_000] * 2
    assert seconds.marks["cell"].to_pylist() == [1_000_000] * 3
    assert seconds.marks["time_text"].to_pylist() == ["14:03:00", "14:05:00", "14:06:30"]


def test_durations_are_elapsed(tmp_path):
    rows = [
        ["Time", "Event"],
        [dt.timedelta(minutes=2, seconds=30), "CPR started"],
        [dt.timedelta(hours=1), "ROSC"],
    ]

    event = read_event([write(tmp_path / "a.xlsx", {"Log": rows})])

    assert (event.sources[0].scale, event.marks["source_time"].to_pylist()) == (
        "elapsed",
        [150_000_000, 3_600_000_000],
    )


def test_bare_numbers_that_are_days_are_times(tmp_path):
    rows = [["Time", "Event"], [0.5854166667, "CPR started"], [0.5868055556, "ROSC"]]

    event = read_event([write(tmp_path / "a.xlsx", {"Log": rows})])

    assert event.marks["time_text"].to_pylist() == ["14:03", "14:05"]


def test_dates_and_times_in_columns_of_their_own(tmp_path):
    rows = [["Date", "Time", "Event"], [dt.date(2026, 3, 4), dt.time(14, 3, 22), "CPR started"]]

    event = read_event([write(tmp_path / "a.xlsx", {"Log": rows})])

    assert event.marks["source_time"].to_pylist() == [1_772_633_002_000_000]
    assert event.marks["time_text"].to_pylist() == ["2026-03-04 14:03:22"]


def test_the_sheet_that_reads_as_marks_is_taken_and_the_others_named(tmp_path):
    path = write(tmp_path / "a.xlsx", {"Cover": [["Invented ward"]], "Log": LOG, "Lists": [["VF"], ["PEA"]]})

    event = read_event([path])

    assert event.marks["place"].to_pylist()[0] == "Log!2"
    (told,) = [each for each in event.problems if each.code == "sheets_left_out"]
    assert "'Cover', 'Lists'" in told.message


def test_two_sheets_of_marks_are_asked_about(tmp_path):
    more = [*LOG, [dt.time(14, 6), "ROSC", None]]
    path = write(tmp_path / "a.xlsx", {"Short": LOG, "Long": more})

    found = understand(path)

    assert (found.sheet, [(each.key, each.assumed) for each in found.questions]) == (
        "Long",
        [("sheet", "Long")],
    )
    assert "sheet_ambiguous" in codes(read_event([path]))
    assert understand(path, Settings(mapping=Mapping(sheet="Short"))).sheet == "Short"
    assert understand(path, Settings(mapping=Mapping(sheet="Short"))).questions == ()


def archive(members):
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in members.items():
            file.writestr(name, content)
    return raw.getvalue()


def refusal(path, content):
    path.write_bytes(content)
    with pytest.raises(UnreadableFile) as error:
        read_event([path])
    assert str(error.value).startswith(path.name)
    return str(error.value)


def test_a_zip_bomb_is_refused(tmp_path):
    content = archive({"xl/worksheets/sheet1.xml": b"0" * 30_000_000})

    assert "200 times its size" in refusal(tmp_path / "bomb.xlsx", content)


def test_a_zip_bomb_that_lies_about_its_size_is_refused(tmp_path):
    """The central directory states ten bytes; the member unpacks to thirty million."""
    content = bytearray(archive({"xl/worksheets/sheet1.xml": b"0" * 30_000_000}))
    at = content.rindex(b"PK\x01\x02")
    content[at + 24 : at + 28] = struct.pack("<I", 10)

    said = refusal(tmp_path / "bomb.xlsx", bytes(content))

    assert "200 times its size" in said or "damaged" in said


def test_an_archive_in_an_archive_is_refused(tmp_path):
    content = archive({"xl/media/more.bin": archive({"a.txt": b"a"})})

    assert "another archive (xl/media/more.bin)" in refusal(tmp_path / "nested.xlsx", content)


def test_too_many_members_are_refused(tmp_path):
    content = archive({f"{number}.txt": b"" for number in range(limits.MAX_MEMBERS + 1)})

    assert "2001 parts" in refusal(tmp_path / "many.xlsx", content)


def test_a_stray_cell_in_the_far_corner_is_refused(tmp_path):
    """A reader would make room for every cell between."""
    book = openpyxl.Workbook()
    book.active["A1"], book.active["XFD1048576"] = "time", "stray"
    raw = io.BytesIO()
    book.save(raw)

    assert "row 1048576, column 16384" in refusal(tmp_path / "far.xlsx", raw.getvalue())


@pytest.mark.parametrize("content", [b"PK\x03\x04 this is no archive", archive({"a.txt": b"no workbook"})])
def test_what_is_no_workbook_is_refused(tmp_path, content):
    assert "save it again as xlsx" in refusal(tmp_path / "broken.xlsx", content)


def test_an_empty_workbook_is_refused(tmp_path):
    with pytest.raises(UnreadableFile, match=r"its sheets \(Log\) are empty"):
        read_event([write(tmp_path / "empty.xlsx", {"Log": []})])


def test_a_heading_alone_is_refused(tmp_path):
    with pytest.raises(UnreadableFile, match="no row below"):
        read_event([write(tmp_path / "heading.xlsx", {"Log": LOG[:1]})])


OPEN_DOCUMENT = (
    '<?xml version="1.0" encoding="UTF-8"?>{doctype}<office:document-content '
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"><office:body>'
    '<office:spreadsheet><table:table table:name="Log">{rows}</table:table></office:spreadsheet>'
    "</office:body></office:document-content>"
)
MANIFEST = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>'
)


def open_document(rows, doctype=""):
    content = OPEN_DOCUMENT.format(rows=rows, doctype=doctype)
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    return archive({"mimetype": kind, "META-INF/manifest.xml": MANIFEST, "content.xml": content})


def text_cell(text, more=""):
    return f'<table:table-cell office:value-type="string"{more}><text:p>{text}</text:p></table:table-cell>'


@pytest.mark.parametrize("name", ["log.ods", "log.xlsx", "log", "log.csv"])
def test_a_workbook_is_known_by_what_it_holds(tmp_path, name):
    head, row = ("".join(map(text_cell, cells)) for cells in (("time", "mark"), ("14:03:22", "ROSC")))
    empty = '<table:table-row table:number-rows-repeated="1000000"><table:table-cell/></table:table-row>'
    rows = f"<table:table-row>{head}</table:table-row><table:table-row>{row}</table:table-row>{empty}"
    path = tmp_path / name
    path.write_bytes(open_document(rows))

    event = read_event([path])

    assert (event.marks["kind"].to_pylist(), event.marks["place"].to_pylist()) == (["rosc"], ["Log!2"])


@pytest.mark.parametrize(
    "rows",
    [
        '<table:table-row table:number-rows-repeated="1048576">'
        + text_cell("x", ' table:number-columns-repeated="16384"')
        + "</table:table-row>",
        '<table:table-row table:number-rows-repeated="1048575"><table:table-cell/></table:table-row>'
        '<table:table-row><table:table-cell table:number-columns-repeated="16383"/>'
        + text_cell("x")
        + "</table:table-row>",
    ],
)
def test_repeated_cells_that_fill_a_sheet_are_refused(tmp_path, rows):
    assert "row 1048576, column 16384" in refusal(tmp_path / "far.ods", open_document(rows))


def test_a_document_that_declares_a_type_is_refused(tmp_path):
    doctype = '<!DOCTYPE lolz [<!ENTITY lol "lol"><!ENTITY lol2 "&lol;&lol;">]>'

    assert "declares the document type" in refusal(tmp_path / "a.ods", open_document("", doctype))


def test_a_workbook_behind_a_password_says_so(tmp_path):
    content = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(1000)

    assert "without a password" in refusal(tmp_path / "locked.xlsx", content)
