"""Parquet and Arrow files as other programs write them: pandas, polars, DuckDB, fastparquet.

Each writes its own types for texts and times; the marks that come out are the same. What each column holds
is the definition of those programs' writers, run here as they are installed.
"""

# ruff: noqa: DTZ001 - wall times, on purpose
import datetime as dt

import pytest

from debrief.importers import read_event

TIMES = [
    dt.datetime(2026, 3, 4, 14, 3, 22),
    dt.datetime(2026, 3, 4, 14, 5, 31, 500_000),
    dt.datetime(2026, 3, 4, 14, 12),
]
COLUMNS = {
    "time": TIMES,
    "mark": ["compressions_start", "shock", "rosc"],
    "amount": [None, 200, None],
    "unit": [None, "J", None],
}


def with_pandas(path):
    pandas = pytest.importorskip("pandas")
    frame = (
        pandas.DataFrame(COLUMNS).set_index("time") if "indexed" in path.stem else pandas.DataFrame(COLUMNS)
    )
    frame.to_parquet(path) if path.suffix == ".parquet" else frame.reset_index().to_feather(path)


def with_categories(path):
    pandas = pytest.importorskip("pandas")
    frame = pandas.DataFrame(COLUMNS).astype({"mark": "category", "unit": "category"})
    frame.to_parquet(path) if path.suffix == ".parquet" else frame.to_feather(path)


def with_polars(path):
    polars = pytest.importorskip("polars")
    frame = polars.DataFrame(COLUMNS)
    frame.write_parquet(path) if path.suffix == ".parquet" else frame.write_ipc(path, compression="zstd")


def with_duckdb(path):
    duckdb = pytest.importorskip("duckdb")
    if path.suffix != ".parquet":
        pytest.skip("DuckDB writes Parquet alone")
    rows = ", ".join(
        f"(TIMESTAMP '{time}', '{mark}', {amount or 'NULL'}::INTEGER, {repr(unit) if unit else 'NULL'})"
        for time, mark, amount, unit in zip(*COLUMNS.values(), strict=True)
    )
    duckdb.sql(f"COPY (FROM (VALUES {rows}) AS t(time, mark, amount, unit)) TO '{path}' (FORMAT parquet)")


WRITERS = {"pandas": with_pandas, "categories": with_categories, "polars": with_polars, "duckdb": with_duckdb}


@pytest.mark.parametrize("suffix", [".parquet", ".arrow"])
@pytest.mark.parametrize("program", WRITERS)
def test_a_table_of_another_program_gives_the_same_marks(tmp_path, program, suffix):
    path = tmp_path / f"log{suffix}"
    WRITERS[program](path)

    event = read_event([path])

    rows = [(row["kind"], row["amount"], row["unit"]) for row in event.marks.to_pylist()]
    assert rows == [("compressions_start", None, None), ("shock", 200, "J"), ("rosc", None, None)]
    epoch = dt.datetime(1970, 1, 1)
    written = [(time - epoch) // dt.timedelta(microseconds=1) for time in TIMES]
    assert event.marks["source_time"].to_pylist() == written
    assert (event.sources[0].scale, event.sources[0].importer) == ("local", "table")


def test_an_index_of_pandas_is_a_column(tmp_path):
    path = tmp_path / "indexed.parquet"
    with_pandas(path)

    assert read_event([path]).marks["source_time"].null_count == 0
