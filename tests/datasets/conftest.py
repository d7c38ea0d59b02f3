"""Datasets of invented events, and what is written of them."""

import json
from types import SimpleNamespace

import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner

from debrief.cli import main
from tests.benchmarks.made_events import made


@pytest.fixture(scope="session")
def marks():
    """Return 60 invented events."""
    return made(60, seed=11)


@pytest.fixture
def measure_all(tmp_path):
    """Return the command: it measures all of a source and gives exit code, output and files."""

    def run(source, name="out", *options, workers=1):
        output = tmp_path / name
        where = ["--registry", str(source)] if options[:1] == ("registry",) else [str(source)]
        options = options[1:] if options[:1] == ("registry",) else options
        command = ["measure", "--all", *where, "-o", str(output), "--workers", str(workers), *options]
        done = CliRunner().invoke(main, command)
        made = output / "figures.parquet"
        return SimpleNamespace(
            code=done.exit_code,
            said=done.output,
            output=output,
            bytes=[(output / one).read_bytes() for one in ("figures.parquet", "problems.parquet")]
            if made.is_file()
            else [],
            figures=pq.read_table(made).to_pylist() if made.is_file() else [],
            problems=pq.read_table(output / "problems.parquet").to_pylist() if made.is_file() else [],
            about=json.loads((output / "about.json").read_text("utf-8")) if made.is_file() else {},
        )

    return run
