"""What ships beside the code is found from a checkout, an editable installation and a wheel."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from debrief.resources import shipped

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory):
    """Return the folder of a freshly built wheel's contents."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        wheel.extractall(folder / "site")
    return folder / "site"


def names(folder):
    """Return the files of a folder, by their paths in it."""
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("folder", ["assets", "sample_events"])
def test_a_wheel_holds_what_the_checkout_holds(unpacked, folder):
    assert names(unpacked / "debrief" / "shipped" / folder) == names(ROOT / folder)


def test_a_wheel_finds_it(unpacked, tmp_path):
    code = "import debrief.resources as r; print(r.shipped('assets')); print(r.shipped('sample_events'))"
    done = subprocess.run(
        [sys.executable, "-P", "-c", code],
        cwd=tmp_path,
        env={"PYTHONPATH": str(unpacked)},
        capture_output=True,
        text=True,
        check=True,
    )

    assert all(line.startswith(str(unpacked)) for line in done.stdout.split())


def test_data_of_the_package_ships(unpacked):
    inside = names(unpacked / "debrief")
    data = (".toml", ".md", ".typ", ".html", ".css", ".js")

    assert {name for name in names(ROOT / "debrief") if name.endswith(data)} <= inside


def test_a_checkout_finds_it():
    assert shipped("assets") == ROOT / "assets"


def test_a_broken_installation_says_so():
    with pytest.raises(FileNotFoundError, match="install it again"):
        shipped("nothing_of_the_kind")
