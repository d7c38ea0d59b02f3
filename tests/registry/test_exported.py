"""What is exported reads back as it was, runs nothing, and is the same from every database."""

import csv
import json

import openpyxl
import pyarrow.parquet as pq
import pytest
from python_calamine import CalamineWorkbook

from debrief.assess import Asked
from debrief.errors import BadSetting, NotKept
from debrief.importers import Settings, corrections
from debrief.importers.corrections import Correction
from debrief.registry import listing, writing
from debrief.registry.adding import how_for
from debrief.registry.exported import tables_of
from debrief.registry.store import Registry
from debrief.registry.writing import FORMATS, defused, write_tables
from tests.registry.conftest import emptied_server
from tests.registry.made import add

HOSTILE = ('=HYPERLINK("http://x","y")', "+cmd|' /C calc'!A0", "-2+3", "@SUM(1)", "\uff1d1+1")


def exported(registry):
    """Return all tables of a registry."""
    names = [row["event_id"] for row in listing.events(registry)]
    return tables_of(registry, names, how_for(registry, Asked(draws=0), Settings()))


@pytest.fixture
def tables(registry, vf, tmp_path):
    """Tables of two events, one of them with cells that a spreadsheet would run."""
    corrections.append(vf, Correction("drop", "monitor-log:4", "a test shock", role="lead"))
    path = tmp_path / "=1+1.csv"
    with path.open("w", newline="") as file:
        rows = [
            ["time", "mark", "note"],
            *(["14:00", "note", text] for text in HOSTILE),
            ["14:03", "shock", "-95"],
        ]
        csv.writer(file).writerows(rows)
    assert [one.did for one in add(registry, vf, path)] == ["added", "added"]
    return exported(registry)


def test_every_table_and_column_is_in_the_dictionary(tables):
    described = {(row["table"], row["column"]) for row in tables["dictionary"].to_pylist() if row["meaning"]}

    for name, content in tables.items():
        assert {(name, ""), *((name, column) for column in content.schema.names)} <= described


def test_times_count_from_zero_as_they_do_in_the_report(registry, tables):
    report_of = {row["event_id"]: row for row in tables["events"].to_pylist()}
    name = next(name for name in report_of if name.startswith("vf"))
    from debrief.assess import assess

    report = assess([registry.folder(name)], draws=0).to_dict()
    times = {
        f"{row['source_id']}:{row['place']}": row["from_zero_s"]
        for row in tables["marks"].to_pylist()
        if row["event_id"] == name
    }

    assert report["occurrences"]
    for one in report["occurrences"]:
        assert times[one["lead"]] == pytest.approx(one["time"], abs=1e-6)


def test_a_mark_that_was_taken_out_is_there_and_says_so(tables):
    out = [(row["source_id"], row["place"]) for row in tables["marks"].to_pylist() if row["taken_out"]]
    (change,) = tables["corrections"].to_pylist()

    assert out == [("monitor-log", "4")]
    assert (change["action"], change["why"], change["role"]) == ("drop", "a test shock", "lead")


def test_csv_runs_nothing_and_keeps_numbers(tables, tmp_path):
    write_tables(tables, tmp_path / "out", "csv")

    with (tmp_path / "out" / "marks.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    notes = [row["note"] for row in rows if row["event_id"].endswith("1+1")]
    assert notes == [*("'" + text for text in HOSTILE), "-95"]
    for path in (tmp_path / "out").iterdir():
        with path.open(encoding="utf-8-sig", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert [cell for cell in cells if defused(cell) != cell] == []


def test_a_workbook_reads_back_by_two_readers_and_holds_no_formula(tables, tmp_path):
    path = tmp_path / "all.xlsx"
    write_tables(tables, path, "xlsx")

    book = openpyxl.load_workbook(path)
    other = CalamineWorkbook.from_path(str(path))
    assert book.sheetnames == list(tables) == other.sheet_names
    for name, content in tables.items():
        read = list(book[name].iter_rows())
        assert {cell.data_type for row in read for cell in row} <= {"s", "n", "b"}
        expected = [value for row in content.to_pylist() for value in row.values()]
        again = other.get_sheet_by_name(name).to_python(skip_empty_area=False)
        for cells in (
            [cell.value for row in read[1:] for cell in row],
            [cell for row in again[1:] for cell in row],
        ):
            assert len(cells) == len(expected)
            for cell, value in zip(cells, expected, strict=True):  # a workbook holds 16 digits of a number
                about = pytest.approx(value, rel=1e-15) if isinstance(value, float) else value
                assert (
                    (cell or None) == (about or None) if not isinstance(value, int | float) else cell == about
                )


def test_parquet_and_json_read_back_as_they_were(tables, tmp_path):
    write_tables(tables, tmp_path / "out", "parquet")
    write_tables(tables, tmp_path / "all.json", "json")

    read = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))
    for name, content in tables.items():
        assert pq.read_table(tmp_path / "out" / f"{name}.parquet") == content
        assert read[name] == content.to_pylist()


@pytest.mark.parametrize("form", FORMATS)
def test_the_same_content_gives_the_same_bytes(tables, tmp_path, form):
    def bytes_of(name):
        write_tables(tables, tmp_path / name / "x", form)
        return {path.name: path.read_bytes() for path in (tmp_path / name).rglob("*") if path.is_file()}

    assert bytes_of("a") == bytes_of("b")


def test_sqlite_and_postgresql_export_the_same(vf, tmp_path):
    server = emptied_server()
    found = []
    for where in (tmp_path / "registry", server):
        with Registry(where, create=True) as kept:
            add(kept, vf)
            kept.enter("vf-log-and-sheet", "age_years", 71.25)
            found.append(exported(kept))

    assert found[0] == found[1]


def test_an_event_that_is_not_here_is_told(registry, tables):
    with pytest.raises(BadSetting, match="nobody"):
        tables_of(registry, ["nobody"], how_for(registry, Asked(draws=0), Settings()))


def test_a_sheet_that_would_be_too_long_is_refused(tables, tmp_path, monkeypatch):
    monkeypatch.setattr(writing, "MOST_ROWS", 5)

    with pytest.raises(BadSetting, match="parquet"):
        write_tables(tables, tmp_path / "all.xlsx", "xlsx")
    assert list(tmp_path.glob("*.xlsx")) == []


def test_a_place_that_cannot_be_written_is_told(tables, tmp_path):
    (tmp_path / "file").write_text("")

    with pytest.raises(NotKept, match="cannot be written"):
        write_tables(tables, tmp_path / "file" / "out", "csv")
