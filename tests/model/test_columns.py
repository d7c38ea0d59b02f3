"""Columns in which each value stands once, and the Arrow arrays they become."""

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.model import columns
from debrief.model.columns import MISSING

TEXTS = st.lists(st.none() | st.text(st.characters(codec="utf-8"), max_size=5), max_size=20)
INTS = st.lists(st.none() | st.integers(-(2**62), 2**62), max_size=20)
FLOATS = st.lists(st.none() | st.floats(allow_nan=False), max_size=20)


@given(TEXTS)
def test_texts_come_back_from_arrow(texts):
    column = columns.repeated(texts)

    assert columns.text_array(column).equals(pa.array(texts, pa.string()))
    assert (list(column), len(set(column.values))) == (texts, len(column.values))


@given(INTS, st.integers(0, 3), st.integers(0, 3))
def test_whole_numbers_come_back_from_arrow_and_from_slices_of_it(values, start, cut):
    array = columns.int_array(np.array([MISSING if each is None else each for each in values], np.int64))
    part = slice(start, max(start, len(values) - cut))

    assert array.equals(pa.array(values, pa.int64()))
    assert columns.ints_of(array[part], -1).tolist() == [
        -1 if each is None else each for each in values[part]
    ]


@given(FLOATS)
def test_numbers_come_back_from_arrow(values):
    array = columns.float_array(np.array([np.nan if each is None else each for each in values], np.float64))
    read = columns.floats_of(pa.chunked_array([array.slice(0, 3), array.slice(3)]))

    assert array.equals(pa.array(values, pa.float64()))
    assert [None if np.isnan(each) else each for each in read.tolist()] == values


@given(st.lists(st.booleans(), max_size=20))
def test_truths_become_arrow(values):
    assert columns.bool_array(np.array(values, np.bool_)).equals(pa.array(values, pa.bool_()))


@pytest.mark.parametrize("kind", [pa.int8(), pa.int32(), pa.float32()])
def test_numbers_of_any_width_are_read(kind):
    array = pa.array([1, None, 3], kind)

    assert columns.ints_of(array, 0).tolist() == [1, 0, 3]
    assert columns.floats_of(array)[[0, 2]].tolist() == [1.0, 3.0]


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 2)), max_size=20), st.booleans())
def test_rows_alike_in_all_columns_are_one_group(rows, wide):
    """Groups are numbered as they first stand, also where codes are too many for one number."""
    parts = [np.array([row[at] for row in rows], np.int32) for at in (0, 1)]
    count = 2**40 if wide else 4

    group, first = columns.grouped([(part, count) for part in parts], len(rows))

    seen = list(dict.fromkeys(rows))
    assert group.tolist() == [seen.index(row) for row in rows]
    assert first.tolist() == [rows.index(row) for row in seen]


def test_columns_are_joined_one_below_the_other():
    joined = columns.joined([columns.repeated(["a", "b", "a"]), columns.same("b", 2)])

    assert list(joined) == ["a", "b", "a", "b", "b"]
    assert joined.held().count("a") == 1
