"""A report as tables: nothing lost, types as one expects."""

import json

import pandas as pd
import pytest

from debrief.assess.frames import LISTS, frames
from tests.made import assessed, compressions, row

ROWS = [
    row(0, "recognition"),
    row(30, "rhythm", "vf"),
    *compressions((20, 300), (312, 600)),
    row(305, "shock", amount=200.0, unit="J"),
    row(200, "drug", "epinephrine", amount=1.0, unit="mg", route="iv"),
    row(600, "rosc"),
]


@pytest.fixture(scope="module")
def report():
    return assessed(ROWS).to_dict()


def test_every_list_is_a_table_with_one_row_an_entry(report):
    tables = frames(report)

    assert set(tables) == set(LISTS)
    for name, table in tables.items():
        assert len(table) == len(report[name]), name
        assert (table["event_id"] == "made").all()


def test_a_figure_is_found_by_its_name_with_its_target_beside_it(report):
    figures = frames(report)["figures"]

    assert figures.loc["longest_pause", "value"] == 12
    assert figures.loc["longest_pause", "verdict"] == "not_met"
    assert figures.loc["longest_pause", "target_citation"]
    assert pd.isna(figures.loc["epinephrine_interval_median", "value"])


def test_an_event_without_shocks_has_an_empty_table():
    tables = frames(assessed([entry for entry in ROWS if entry["kind"] != "shock"]).to_dict())

    assert tables["shocks"].empty


def test_tables_go_on_to_parquet(report, tmp_path):
    table = frames(report)["pauses"]
    table.to_parquet(tmp_path / "pauses.parquet")

    back = pd.read_parquet(tmp_path / "pauses.parquet")
    assert json.loads(back.to_json()) == json.loads(table.to_json())
