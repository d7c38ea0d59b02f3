"""Spark gives the bytes that this machine gives."""

import importlib.util
import os
import random
import shutil
import subprocess
import sys

import pyarrow.parquet as pq
import pytest

HERE = importlib.util.find_spec("pyspark") is not None
"""The checks install it where Java is: there, its absence fails."""


@pytest.mark.skipif(
    shutil.which("java") is None or not (HERE or os.environ.get("CI")),
    reason="needs Java and the extra spark",
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


def test_without_spark_a_sentence_says_what_to_install(marks, measure_all, tmp_path, monkeypatch):
    pq.write_table(marks, tmp_path / "marks.parquet")
    monkeypatch.setitem(sys.modules, "pyspark", None)
    done = measure_all(tmp_path / "marks.parquet", "out", "--engine", "spark")
    assert done.code == 2
    assert "debrief-timeline[spark]" in done.said


def test_spark_is_not_asked_for_a_registry(measure_all, tmp_path):
    done = measure_all(tmp_path, "out", "registry", "--engine", "spark")
    assert done.code == 2
    assert "export" in done.said
