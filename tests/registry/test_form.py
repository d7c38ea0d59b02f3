"""A form is filled from a mapping; what the mapping says wrongly is refused with what is near."""

import openpyxl
import pytest

from debrief.errors import BadSetting
from debrief.registry.form import Column, filled, read_form, written
from debrief.registry.store import Registry
from debrief.registry.writing import write_rows
from tests.cohorts.filled import fill

FORM = """
[columns."Case"]
from = "context.event_id"
[columns."Ward"]
from = "context.unit"
[columns."First rhythm"]
from = "fact.first_rhythm"
codes = { vf = "1", pvt = "2", other = "9" }
[columns."Witnessed"]
from = "context.witnessed"
codes = { yes = "Y", no = "N" }
missing = "U"
[columns."Min to first shock"]
from = "figure.time_to_first_shock"
unit = "min"
decimals = 1
missing = "99"
[columns."Back"]
from = "figure.any_rosc"
codes = { yes = "1", no = "0" }
[columns."Judged"]
from = "verdict.time_to_first_shock"
"""


@pytest.fixture
def registry(tmp_path):
    with Registry(tmp_path / "home", create=True) as kept:
        fill(kept, 18, months=3)
        yield kept


def test_every_event_is_a_row_by_its_mapping(registry):
    rows = filled(registry, read_form(FORM, "form"))
    assert len(rows) == 18
    first = next(row for row in rows if row["Case"] == "event 00001")
    assert list(first) == [
        *("Case", "Ward", "First rhythm", "Witnessed", "Min to first shock", "Back", "Judged")
    ]
    assert (first["Ward"], first["First rhythm"], first["Witnessed"]) == ("Beech ward", "1", "N")
    assert first["Back"] in ("0", "1")
    missing = next(row for row in rows if row["Case"] == "event 00017")
    assert (missing["Min to first shock"], missing["Judged"]) == ("99", "no_data")


def test_events_that_do_not_count_are_in_no_form(registry):
    registry.review("event 00002", "excluded", "nurse", "a drill")
    registry.remove("event 00003")
    assert len(filled(registry, read_form(FORM, "form"))) == 16
    assert len(filled(registry, read_form(FORM, "form"), unit="Emergency")) == 3


@pytest.mark.parametrize(
    ("rounding", "seconds", "told"),
    [
        ("down", 119.9, "1"),
        ("up", 60.1, "2"),
        ("nearest", 90.0, "2"),
        ("nearest", 89.9, "1"),
        ("up", 60.0, "1"),
    ],
)
def test_minutes_are_rounded_as_the_form_asks(rounding, seconds, told):
    column = Column("m", "figure.time_to_first_shock", "min", 0, rounding)
    assert written(column, seconds) == told


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ('from = "figure.time_first_shock"', "figure.time_to_first_shock"),
        ('from = "time_to_first_shock"', "figure.time_to_first_shock"),
        ('from = "fact.first_rhythm"\ncodes = { vf = "1" }', "pvt, shockable, pea, asystole"),
        ('from = "figure.any_rosc"\ncodes = { yes = "1" }', "codes say nothing of no"),
        ('from = "context.unit"\nunit = "min"', "Only times"),
        ('from = "context.unit"\nrounding = "off"', "nearest, down, up"),
        ('from = "context.unit"\ndecimals = -1', "0 to 9"),
        ('from = "context.unit"\ncolour = "red"', "It can say: from"),
        ('unit = "min"', "says not what stands in it"),
    ],
)
def test_what_a_mapping_says_wrongly_is_refused_with_the_column_and_what_to_write(row, said):
    with pytest.raises(BadSetting, match=r"form\.toml, column 'Shock'") as refused:
        read_form(f'[columns."Shock"]\n{row}\n', "form.toml")
    assert said in str(refused.value)


@pytest.mark.parametrize(
    "text", ["[columns", "", "a = 1", "[columns]\n", "columns = 3", '[columns."A"]\n[x]']
)
def test_what_is_no_form_is_refused(text):
    with pytest.raises(BadSetting, match="form"):
        read_form(text, "form")


def test_what_a_spreadsheet_would_run_is_defused_and_a_workbook_holds_text(tmp_path):
    rows = [{"=A": "=1+1", "B": "-1"}]
    write_rows(rows, ["=A", "B"], tmp_path / "form.csv")
    assert (tmp_path / "form.csv").read_text("utf-8-sig") == "'=A,B\n'=1+1,-1\n"
    write_rows(rows, ["=A", "B"], tmp_path / "form.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "form.xlsx").active
    assert [[cell.value for cell in row] for row in sheet] == [["=A", "B"], ["=1+1", "-1"]]
    assert {cell.data_type for row in sheet for cell in row} == {"s"}
