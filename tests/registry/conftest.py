"""Registries to try things on: in a folder and, where DEBRIEF_TEST_POSTGRES is set, on that server."""

import os
import shutil

import pytest
import sqlalchemy as sa

from debrief.registry.store import Registry
from debrief.resources import shipped

SERVER = os.environ.get("DEBRIEF_TEST_POSTGRES", "")
"""The address of a PostgreSQL database that tests may empty."""


@pytest.fixture(params=["sqlite", "postgres"])
def where(request, tmp_path):
    """Where an empty registry can be made."""
    if request.param == "sqlite":
        return str(tmp_path / "registry")
    return emptied_server()


def emptied_server():
    """Return the server's address, its tables gone."""
    if not SERVER:
        pytest.skip("DEBRIEF_TEST_POSTGRES names no server")
    engine = sa.create_engine(sa.make_url(SERVER).set(drivername="postgresql+psycopg"))
    with engine.begin() as connection:
        connection.execute(sa.text("drop schema public cascade"))
        connection.execute(sa.text("create schema public"))
    engine.dispose()
    return SERVER


@pytest.fixture
def registry(where):
    """An empty registry."""
    with Registry(where, create=True) as kept:
        yield kept


@pytest.fixture
def vf(tmp_path):
    """An event folder that can be changed: a log, a sheet and an event.json."""
    return shutil.copytree(shipped("sample_events") / "vf_log_and_sheet", tmp_path / "vf")
