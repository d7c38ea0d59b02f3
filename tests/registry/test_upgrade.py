"""A registry that an older version wrote is brought up to date, and nothing of it is lost."""

import json
import sqlite3
from pathlib import Path

import pytest

from debrief.assess import Asked
from debrief.importers import Settings
from debrief.registry import listing
from debrief.registry.adding import how_for, rebuild, waiting_for
from debrief.registry.store import Registry
from debrief.resources import REGISTRY_FILE

WRITTEN_BEFORE = sorted(Path(__file__).parent.glob("version_*.sql"))
FIGURES = "select event, name, value, verdict from figure order by event, name"
COLUMNS = {
    "file": "sha256, size, content",
    "source": "event, position, file, sha256, only, read",
    "entry": "id, event, stream, content, at, role",
    "event": "id, name, identity, settings, digest, date, unit, population, setting, added_at, removed_at",
    "audit": "id, at, role, action, event, detail, why",
}


@pytest.mark.parametrize("dump", WRITTEN_BEFORE, ids=lambda path: path.stem)
def test_a_registry_of_an_older_version_keeps_all_it_had(dump, tmp_path):
    with sqlite3.connect(tmp_path / REGISTRY_FILE) as old:
        old.executescript(dump.read_text(encoding="utf-8"))
    queries = {table: f"select {columns} from {table}" for table, columns in COLUMNS.items()}
    was = {table: old.execute(query).fetchall() for table, query in queries.items()}
    figures = old.execute(FIGURES).fetchall()
    old.close()

    with Registry(tmp_path) as registry:
        with registry.database.reading() as connection:
            now = {
                table: [tuple(row) for row in connection.exec_driver_sql(query)]
                for table, query in queries.items()
            }
        assert now == was
        assert {row["figures"] for row in listing.events(registry)} == {"stale"}

        how = how_for(registry, Asked(draws=0), Settings())
        done = dict(rebuild(registry, how, waiting_for(registry, how)))
        assert len(done) == len(was["event"])
        with registry.database.reading() as connection:
            assert [tuple(row) for row in connection.exec_driver_sql(FIGURES)] == figures
            facts = connection.exec_driver_sql("select facts from measurement where event = 1").scalar()
    assert json.loads(facts)["first_rhythm"] == "vf"


def test_there_is_a_registry_of_each_version_before_this_one():
    assert [path.stem for path in WRITTEN_BEFORE] == ["version_0001"]
