"""``measure --all``: the same bytes whatever the way, going on where it was stopped, damage named."""

import random
import signal
import subprocess
import sys
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from debrief.assess import Asked
from debrief.datasets.order import ROWS
from debrief.datasets.partition import FIGURES, measured
from debrief.datasets.source import in_columns
from debrief.importers import Settings
from debrief.registry.adding import add_events, how_for
from debrief.registry.incoming import found_in
from debrief.registry.listing import figures, names
from debrief.registry.store import Registry
from debrief.resources import shipped
from tests.benchmarks.made_events import made


@pytest.fixture
def file(marks, tmp_path):
    path = tmp_path / "marks.parquet"
    pq.write_table(marks, path)
    return path


def test_the_figures_are_those_of_the_events(file, marks, measure_all):
    done = measure_all(file)
    assert done.code == 0, done.said
    assert done.figures == measured(in_columns(marks), {}, Asked(draws=0)).figures.to_pylist()
    assert done.about["rows"] == {"figures": len(done.figures), "problems": len(done.problems)}
    assert not (done.output / "unfinished").exists()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_bytes_are_the_same_whatever_files_row_groups_and_partitions(
    marks, file, measure_all, tmp_path, seed
):
    rng = random.Random(seed)
    order = list(range(len(marks)))
    rng.shuffle(order)
    folder = tmp_path / "many files"
    (folder / "inner").mkdir(parents=True)
    cuts = sorted(rng.sample(range(len(marks)), rng.randint(1, 5)))
    for number, (first, last) in enumerate(zip([0, *cuts], [*cuts, len(marks)], strict=True)):
        path = folder / ("inner" if number % 2 else "") / f"{rng.random()}.parquet"
        pq.write_table(marks.take(order[first:last]), path, row_group_size=rng.randint(1, 800))
    whole = measure_all(file, "one")
    other = measure_all(folder, "other", "--partitions", str(rng.randint(2, 25)))
    assert other.code == 0, other.said
    assert whole.bytes == other.bytes


def test_bytes_are_the_same_whatever_the_workers(file, measure_all):
    assert measure_all(file, "one").bytes == measure_all(file, "two", "--partitions", "5", workers=2).bytes


def test_another_reader_reads_the_same_figures(file, measure_all):
    duckdb = pytest.importorskip("duckdb")  # an independent reader of Parquet
    done = measure_all(file)
    query = f"select * from '{done.output}/figures.parquet'"
    with duckdb.connect() as connection:
        rows = connection.execute(query).fetchall()
    assert [tuple(row.values()) for row in done.figures] == rows


def test_no_event_and_one_event(measure_all, tmp_path):
    path = tmp_path / "some.parquet"
    pq.write_table(made(1).slice(0, 0), path)
    none = measure_all(path, "none", "--partitions", "3")
    assert (none.code, none.figures, none.problems) == (0, [], [])
    pq.write_table(made(1), path)
    assert {row["event_id"] for row in measure_all(path, "one").figures} == {"e0000000"}


def test_what_is_known_of_events_comes_from_the_table_of_an_export(marks, measure_all, tmp_path):
    folder = tmp_path / "export"
    folder.mkdir()
    taken = pa.array([number == 3 for number in range(len(marks))])
    pq.write_table(marks.append_column("taken_out", taken), folder / "marks.parquet")
    name = marks["event_id"][0].as_py()
    about = {"event_id": [name], "population": ["newborn_at_birth"], "weight_kg": [3.2], "figures": ["x"]}
    pq.write_table(pa.table(about), folder / "events.parquet")
    figures = {(row["event_id"], row["name"]): row["value"] for row in measure_all(folder, "out").figures}
    assert figures[name, "chest_compression_fraction"] is None
    assert figures[marks["event_id"][-1].as_py(), "chest_compression_fraction"] is not None


def test_a_corrupt_file_is_named_and_the_rest_is_measured(marks, measure_all, tmp_path):
    folder = tmp_path / "files"
    folder.mkdir()
    half = marks.filter(pa.compute.less(marks["event_id"], "e0000030"))
    pq.write_table(half, folder / "good.parquet")
    (folder / "bad.parquet").write_bytes(b"PAR1 this is no table PAR1")
    done = measure_all(folder)
    assert done.code == 2
    assert "bad.parquet" in done.said
    assert len(done.about["unread"]) == 1
    assert len({row["event_id"] for row in done.figures}) == 30
    again = measure_all(folder)
    assert "Measured: 1 of 1" in again.said  # what was kept
    (folder / "bad.parquet").unlink()
    assert measure_all(folder).code == 0


def test_a_corrupt_row_group_is_named_and_the_rest_is_measured(marks, measure_all, tmp_path, monkeypatch):
    monkeypatch.setattr("debrief.datasets.source.STRETCH_ROWS", 500)
    path = tmp_path / "marks.parquet"
    pq.write_table(marks, path, row_group_size=500)
    at = pq.ParquetFile(path).metadata.row_group(1).column(0).data_page_offset
    content = bytearray(path.read_bytes())
    content[at : at + 40] = b"\xff" * 40
    path.write_bytes(content)
    done = measure_all(path)
    assert done.code == 2
    assert "row groups 2-2" in done.said
    assert done.figures


def test_a_file_of_something_else_is_refused_by_its_columns(measure_all, tmp_path):
    pq.write_table(pa.table({"time": [1], "event_id": ["a"]}), tmp_path / "x.parquet")
    done = measure_all(tmp_path / "x.parquet")
    assert done.code == 2
    assert "kind" in done.said


def test_a_piece_that_was_damaged_is_made_again(file, measure_all, monkeypatch):
    whole = measure_all(file, "whole", "--partitions", "4").bytes
    monkeypatch.setattr("debrief.commands.many.shutil.rmtree", lambda *_, **__: None)
    first = measure_all(file, "out", "--partitions", "4")
    pieces = sorted((first.output / "unfinished").glob("*.piece"))
    pieces[0].write_bytes(pieces[0].read_bytes()[:-9])
    again = measure_all(file, "out", "--partitions", "4")
    assert again.bytes == whole
    assert "0 of" not in "".join(line for line in again.said.splitlines() if "Measured" in line)


def test_other_parameters_do_not_take_what_was_kept(file, measure_all, monkeypatch):
    monkeypatch.setattr("debrief.commands.many.shutil.rmtree", lambda *_, **__: None)
    one = measure_all(file)
    other = measure_all(file, "out", "--min-pause", "5")
    assert "Measured: 0 of 1" in other.said
    assert other.figures != one.figures


def _children(process):
    found = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
    return [int(pid) for pid in found if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes()]


@pytest.mark.skipif(sys.platform != "linux", reason="finds the workers by /proc")
def test_a_killed_worker_is_told_and_the_same_again_goes_on(measure_all, tmp_path):
    path, output = tmp_path / "marks.parquet", tmp_path / "out"
    pq.write_table(made(600), path)
    options = ["-o", str(output), "--partitions", "20", "--workers", "2"]
    command = [sys.executable, "-m", "debrief", "measure", "--all", str(path), *options]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as process:
        lines = iter(process.stderr)
        next(line for line in lines if line.startswith("Measured: 3 of"))
        subprocess.run(["kill", f"-{signal.SIGKILL.value}", str(_children(process)[0])], check=True)
        said = "".join(lines)
    assert process.returncode == 2
    assert "run the same again" in said
    assert "Traceback" not in said
    again = measure_all(path, "out", "--partitions", "20")
    assert "Measured: 0 of" not in again.said
    assert again.bytes == measure_all(path, "afresh").bytes


def test_a_registry_is_measured_as_it_measures_itself(measure_all, tmp_path):
    home = tmp_path / "registry"
    with Registry(home, create=True) as kept:
        found = found_in(shipped("sample_events"), Settings())
        list(add_events(kept, found, how_for(kept, Asked(draws=0), Settings())))
        expected = figures(kept, names(kept))
    done = measure_all(home, "out", "registry", "--partitions", "3")
    assert done.code == 0, done.said

    def by_name(rows):
        return {(row["event_id"], row["name"]): [row[name] for name in FIGURES.names] for row in rows}

    assert by_name(done.figures) == by_name(expected)
    assert done.bytes == measure_all(home, "other", "registry").bytes


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--beside", "ERC 2021"], "--beside"),
        (["--format", "json"], "--format"),
        (["--master", "x"], "spark"),
    ],
)
def test_an_option_that_says_nothing_here_is_refused(file, measure_all, options, word):
    done = measure_all(file, "out", *options)
    assert done.code == 2
    assert word in done.said


def test_rows_on_their_way_have_no_free_text():
    assert not {"note", "role", "label"} & set(ROWS.names)
