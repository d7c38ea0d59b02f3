"""The gate of the marks table holds rows and columns to the same rules; files give it back exactly."""

import io

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.model import marks
from debrief.model.columns import MISSING, repeated
from debrief.words import KINDS

TEXT = st.text(st.characters(codec="utf-8"), max_size=4)
COUNT = st.none() | st.integers(-(2**62), 2**62)
FIELDS = {
    "event_id": TEXT,
    "source_id": TEXT,
    "place": TEXT,
    "time_text": TEXT,
    "kind": st.sampled_from([*KINDS, "unmapped"]) | st.just("boot"),
    "origin": st.sampled_from(marks.ORIGINS) | st.none(),
    "label": TEXT | st.none(),
    "detail": TEXT | st.none(),
    "amount": st.none() | st.floats(allow_nan=False),
    "source_time": COUNT,
    "cell": COUNT,
}
ROW = st.fixed_dictionaries(FIELDS)
GOOD_ROW = st.fixed_dictionaries(
    FIELDS | {"kind": st.sampled_from(list(KINDS)), "origin": st.sampled_from(marks.ORIGINS), "label": TEXT}
)


def as_columns(rows):
    """Return rows as the columns that the gate for columns takes."""
    names = list(rows[0]) if rows else []
    made = {}
    for name in names:
        values = [row[name] for row in rows]
        if name in ("source_time", "cell"):
            made[name] = np.array([MISSING if value is None else value for value in values], np.int64)
        elif name == "amount":
            made[name] = np.array([np.nan if value is None else value for value in values], np.float64)
        else:
            made[name] = repeated(values)
    return made


def outcome(work):
    try:
        return work()
    except ValueError:
        return "refused"


@given(st.lists(ROW, max_size=5))
def test_columns_and_rows_pass_the_same_gate(rows):
    by_rows = outcome(lambda: marks.gate(rows))
    by_columns = outcome(lambda: marks.gate_columns(as_columns(rows), len(rows)))

    assert by_columns == by_rows


GOOD = {
    "event_id": "e",
    "source_id": "s",
    "place": "2",
    "time_text": "14:03",
    "kind": "rosc",
    "origin": "person",
    "label": "ROSC",
}


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"colour": "red"}, "unknown column 'colour'"),
        ({"label": None}, "'label' must not be empty"),
        ({"kind": "boot"}, "unknown kind 'boot'"),
        ({"origin": "robot"}, "unknown origin 'robot'"),
    ],
)
def test_what_is_wrong_is_named(change, says):
    columns = {name: repeated([value]) for name, value in (GOOD | change).items()}

    with pytest.raises(ValueError, match=says):
        marks.gate([GOOD | change])
    with pytest.raises(ValueError, match=says):
        marks.gate_columns(columns, 1)


def test_a_column_of_another_length_is_refused():
    with pytest.raises(ValueError, match="'cell' has 2 rows of 1"):
        marks.gate_columns(dict(GOOD) | {"cell": np.zeros(2, np.int64)}, 1)


@given(st.lists(GOOD_ROW, max_size=5))
def test_a_marks_table_comes_back_exactly_from_parquet_and_from_ipc(rows):
    table = marks.gate(rows)
    parquet, ipc = io.BytesIO(), io.BytesIO()
    pq.write_table(table, parquet)
    with pa.ipc.new_file(ipc, table.schema) as writer:
        writer.write_table(table)

    for read in (pq.read_table(io.BytesIO(parquet.getvalue())), pa.ipc.open_file(ipc.getvalue()).read_all()):
        checked = marks.check(read)
        assert checked.equals(table)
        assert checked.schema.equals(marks.SCHEMA, check_metadata=True)


def test_an_empty_table_has_the_schema():
    assert marks.empty().schema.equals(marks.SCHEMA, check_metadata=True)


def test_a_table_of_other_types_is_refused():
    table = marks.gate([GOOD])
    place = table.schema.get_field_index("cell")

    with pytest.raises(ValueError, match="other types"):
        marks.check(table.set_column(place, "cell", pa.array(["wide"])))
    with pytest.raises(ValueError, match="columns event_id"):
        marks.check(table.drop_columns(["label"]))
    with pytest.raises(ValueError, match="format 7"):
        marks.check(table.replace_schema_metadata({"debrief.marks": "7"}))
