"""Other engines, asked by hand for the same figures, give the same numbers.

DuckDB and pandas are the general-purpose references; the queries stand in ``tests/benchmarks/by_hand.py``.
"""

import duckdb
import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest

from debrief.assess.many import figures_of
from tests.benchmarks.by_hand import one_event, sql
from tests.benchmarks.made_events import made

FIGURES = ("chest_compression_fraction", "epinephrine_interval_median")


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    """Return a Parquet file of three hundred invented events."""
    path = tmp_path_factory.mktemp("marks") / "marks.parquet"
    pq.write_table(made(300, seed=11), path)
    return path


def same(ours, theirs):
    """Check two columns for equality, missing values alike."""
    left, right = np.array(ours, float), np.array(theirs, float)

    assert (np.isnan(left) == np.isnan(right)).all()
    assert np.nanmax(np.abs(left - right)) < 1e-9


def test_duckdb_gives_the_same_fraction_and_gaps(path):
    table = figures_of(pq.read_table(path))
    rows = duckdb.sql(sql(str(path))).fetchall()

    assert [row[0] for row in rows] == table["event_id"].to_pylist()
    for column, name in enumerate(FIGURES, 1):
        same(table[name].to_pylist(), [row[column] for row in rows])


def test_a_function_for_each_event_gives_the_same(path):
    table = figures_of(pq.read_table(path))
    frame = pd.read_parquet(path, columns=["event_id", "time", "kind", "detail"])
    by_event = frame.groupby("event_id").apply(one_event)

    for name in FIGURES:
        same(table[name].to_pylist(), by_event[name].to_numpy())
