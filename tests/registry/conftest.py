"""Registries to try things on: in a folder and, where DEBRIEF_TEST_POSTGRES is set, on that server."""

import os
import shutil

import pytest
import sqlalchemy as sa

from debrief.registry.store import Registry
from debrief.resources import shipped

SERVER = os.environ.get("DEBRIEF_TEST_POSTGRES", "")
"""The address of a PostgreSQL server on which tests may make databases, one for each of their processes."""


@pytest.fixture(params=["sqlite", "postgres"])
def where(request, tmp_path):
    """Where an empty registry can be made."""
    if request.param == "sqlite":
        return str(tmp_path / "registry")
    return emptied_server()


def emptied_server():
    """Return the address of an empty database of this process's own on the server."""
    if not SERVER:
        pytest.skip("DEBRIEF_TEST_POSTGRES names no server")
    name = f"debrief_{os.environ.get('PYTEST_XDIST_WORKER', 'alone')}"
    url = sa.make_url(SERVER).set(drivername="postgresql+psycopg")
    engine = sa.create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(sa.text(f"drop database if exists {name} with (force)"))
        connection.execute(sa.text(f"create database {name}"))
    engine.dispose()
    return sa.make_url(SERVER).set(database=name).render_as_string(hide_password=False)


@pytest.fixture
def registry(where):
    """An empty registry."""
    with Registry(where, create=True) as kept:
        yield kept


@pytest.fixture
def vf(tmp_path):
    """An event folder that can be changed: a log, a sheet and an event.json."""
    return shutil.copytree(shipped("sample_events") / "vf_log_and_sheet", tmp_path / "vf")
