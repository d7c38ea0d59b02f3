"""Text files: delimiters, encodings, quotes, and what is refused."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.errors import UnreadableFile
from debrief.importers import Settings, delimited, opening, read_event, understand
from debrief.importers.delimited import DELIMITERS, vote
from debrief.importers.grid import Contents, Importer

ROWS = [["time", "mark", "note"], ["14:03:22", "CPR started", "für alle"], ["14:05:00", "ROSC", "a pulse"]]


def write(path, text, encoding="utf-8"):
    path.write_bytes(text.encode(encoding))
    return path


@pytest.mark.parametrize("delimiter", DELIMITERS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_any_delimiter_encoding_and_line_ending(tmp_path, delimiter, encoding, ending):
    path = write(tmp_path / "log.csv", ending.join(delimiter.join(row) for row in ROWS) + ending, encoding)

    event = read_event([path])

    assert event.marks["kind"].to_pylist() == ["compressions_start", "rosc"]
    assert event.marks["note"].to_pylist() == ["für alle", "a pulse"]
    assert event.marks["place"].to_pylist() == ["2", "3"]
    assert any(each.code == "encoding_assumed" for each in event.problems) == (encoding == "cp1252")


def test_separators_inside_notes_do_not_outvote():
    assert vote(["time;mark;note\n", "14:03;CPR;a, b, c\n", "14:05;ROSC;d, e, f\n"]) == ";"
    assert vote(["time,mark,note\n", '14:03,CPR,"a; b"\n', '14:05,ROSC,"c; d"\n']) == ","


def test_a_heading_of_known_words_outvotes_ragged_rows():
    assert vote(["time,mark,note\n", "14:03,CPR,a;b,c\n", "14:04,VF,a;b,c,d\n", "14:05,ROSC,a;b,c\n"]) == ","


def test_a_place_is_the_line_where_the_row_begins(tmp_path):
    path = write(tmp_path / "log.csv", 'time,mark,note\n\n14:03,CPR,"one\ntwo\n\nthree"\n\n14:05,ROSC,\n')

    assert read_event([path]).marks["place"].to_pylist() == ["3", "8"]


def test_an_open_quote_swallows_nothing(tmp_path):
    path = write(tmp_path / "log.csv", 'time,mark,note\n14:03,CPR,"said\n14:04,VF,\n14:05,ROSC,\n')

    event = read_event([path])

    assert event.marks["place"].to_pylist() == ["2", "3", "4"]
    assert "quote_unclosed" in [each.code for each in event.problems]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"\n \n", "is empty"),
        (b"time,mark\n", "no row below"),
        (b"\x00\x01\x02\x03" * 300, "binary"),
        (bytes(range(1, 9)) * 40 + b"a,b\n", "binary"),
        (b"time,mark\n14:03,\x81\x8d\n", "no text in utf-8 or windows-1252"),
        (b"\xff\xfet", "no text in utf-16"),
        (b"time\n14:03\n", "no two columns"),
        (b"what,who\nCPR started,nurse\n", "no column 'time'. Columns found: 'what', 'who'"),
        (b"time,zzz\n14:03,qqq\n", "no column 'mark'"),
        (b"PK\x03\x04" + b"x" * 50, "damaged or no archive"),
        (b"%PDF-1.7", "no kind of file"),
    ],
)
def test_what_cannot_be_read_says_so_with_the_file_and_a_remedy(tmp_path, content, says):
    path = tmp_path / "ward.csv"
    path.write_bytes(content)

    with pytest.raises(UnreadableFile) as error:
        read_event([path])

    assert str(error.value).startswith("ward.csv")
    assert says in str(error.value)


@pytest.mark.parametrize("name", ["notes.docx", "scan.pdf", "data.bin"])
def test_a_file_that_nobody_claims_is_refused(tmp_path, name):
    path = write(tmp_path / name, "time,mark\n14:03,CPR\n")

    with pytest.raises(
        UnreadableFile, match=r"no kind of file that can be read here \(delimited, workbook, json, table\)"
    ):
        read_event([path])


def test_two_importers_that_claim_one_file_are_both_named(tmp_path, monkeypatch):
    other = Importer("other", lambda path, head: True, lambda path: Contents(()))
    monkeypatch.setattr(opening, "IMPORTERS", (delimited.IMPORTER, other))
    path = write(tmp_path / "log.csv", "time,mark\n14:03,CPR\n")

    with pytest.raises(UnreadableFile, match="both 'delimited' and 'other' claim this file"):
        read_event([path])
    assert read_event([path], Settings(importer="delimited")).marks.num_rows == 1


def test_too_large_is_refused_before_it_is_read(tmp_path, monkeypatch):
    monkeypatch.setattr("debrief.importers.limits.MAX_BYTES", 10)

    with pytest.raises(UnreadableFile, match="are read"):
        read_event([write(tmp_path / "log.csv", "time,mark\n14:03,CPR\n")])


def test_too_many_rows_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("debrief.importers.limits.MAX_ROWS", 2)

    with pytest.raises(UnreadableFile, match="more than 2 rows"):
        read_event([write(tmp_path / "log.csv", "time,mark\n14:03,CPR\n14:04,CPR\n")])


def test_missing_file(tmp_path):
    with pytest.raises(UnreadableFile, match="no such file"):
        read_event([tmp_path / "gone.csv"])


CELL = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=12)


@settings(deadline=None)
@given(st.lists(st.tuples(CELL, CELL, CELL, st.integers(0, 2)), min_size=1, max_size=12))
def test_nothing_is_lost(tmp_path_factory, rows):
    """Every line of data is a mark with all of its cells, or a problem names it; whatever the cells."""
    path = Path(tmp_path_factory.mktemp("lost")) / "log.csv"
    lines = ["time,mark,note", "14:00,CPR started,"]
    for when, what, note, extra in rows:
        cells = [when, what, note, *["more"] * extra][: 5 if extra else 3]
        lines.append(",".join(cell.replace(",", " ").replace('"', " ") for cell in cells))
    path.write_text("\n".join(lines), encoding="utf-8", newline="")

    event = read_event([path])

    told = set()
    for each in event.problems:
        if each.code in ("comment_skipped", "heading_repeated"):
            for run in each.place.split(", "):
                first, _, last = run.partition("-")
                told |= set(range(int(first), int(last or first) + 1))
    blank = {number for number, line in enumerate(lines, 1) if not line.replace(",", "").strip()}
    kept = set(map(int, event.marks["place"].to_pylist()))
    for number in set(range(2, len(lines) + 1)) - blank - kept:
        assert number in told, lines[number - 1]
    for mark in event.marks.to_pylist():
        when, what, *more = (cell.strip() for cell in lines[int(mark["place"]) - 1].split(","))
        assert (mark["time_text"], mark["label"]) == (when, what)
        assert mark["note"] == ("; ".join(filter(None, more)) or None)


def test_understanding_never_raises_for_unknown_columns(tmp_path):
    found = understand(write(tmp_path / "log.csv", "aaa;bbb\nx;y\n"))

    assert [each.key for each in found.questions] == ["time_column", "mark_column"]
    assert found.preview == ()
