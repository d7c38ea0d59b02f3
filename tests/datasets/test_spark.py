"""Spark gives the bytes that this machine gives."""

import importlib.util
import random
import shutil
import subprocess
import sys

import pyarrow.parquet as pq
import pytest

pytestmark = pytest.mark.skipif(
    importlib.util.find_spec("pyspark") is None or shutil.which("java") is None,
    reason="needs the extra spark and Java",
)


def test_spark_is_equal_to_this_machine_to_the_last_bit(marks, measure_all, tmp_path):
    order = list(range(len(marks)))
    random.Random(5).shuffle(order)
    folder = tmp_path / "files"
    folder.mkdir()
    for number in range(3):
        pq.write_table(marks.take(order[number::3]), folder / f"{number}.parquet")
    here = measure_all(folder, "here")
    output = tmp_path / "by spark"
    command = [sys.executable, "-m", "debrief", "measure", "--all", str(folder), "-o", str(output)]
    options = ["--engine", "spark", "--master", "local[2]", "--partitions", "5"]
    done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    for name, expected in zip(("figures.parquet", "problems.parquet"), here.bytes, strict=True):
        assert (output / name).read_bytes() == expected


def test_an_address_at_which_no_cluster_is_gets_a_sentence(marks, measure_all, tmp_path):
    pq.write_table(marks, tmp_path / "marks.parquet")
    output = tmp_path / "out"
    command = [sys.executable, "-m", "debrief", "measure", "--all", str(tmp_path / "marks.parquet")]
    options = ["-o", str(output), "--engine", "spark", "--master", "nowhere"]
    done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "nowhere" in done.stderr
    assert "Traceback (most recent" not in done.stderr
