"""The commands, by click's own runner and twice as a process of their own."""

import csv
import io
import json
import subprocess
import sys
import time

import pytest
from click.testing import CliRunner

from debrief import __version__, targets
from debrief.cli import main
from debrief.model.contract import FORMAT, Figure, Report
from debrief.resources import shipped

SAMPLES = shipped("sample_events")
SHEET = SAMPLES / "asystole_night_sheet.csv"


def run(*arguments, code=0):
    """Run a command in this process, and check how it ends; never with a traceback."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == code, result.output
    return result


class TestTargets:
    """What ``debrief targets`` lists."""

    @pytest.mark.parametrize("edition", targets.editions())
    def test_each_target_is_listed_with_citation_and_basis(self, edition):
        listed = json.loads(run("targets", "--edition", edition, "--format", "json").stdout)
        assert [row["id"] for row in listed] == [row.id for row in targets.load(edition).targets]
        for row in listed:
            assert row["citation"]
            assert row["basis"] in ("seen", "second_hand", "memory")
            assert row["rule"]

    def test_the_table_says_what_was_read_and_for_whom(self):
        text = run("targets", "--edition", "ERC 2021").stdout
        assert "at most 3 min (child; first rhythm not shockable); guideline, from memory" in text
        assert "less than 5 s (adult); guideline, read in a summary of the source" in text

    def test_a_site_file_shows_its_own_limits_first(self, tmp_path):
        site = tmp_path / "ours.toml"
        site.write_text(
            'edition = "ERC 2021"\nrole = "lead"\ndate = 2026-01-31\n'
            '[limit."consensus_2013.compression_fraction"]\nmore_than = 0.85\n',
            encoding="utf-8",
        )
        text = run("targets", "--site", site).stdout
        assert text.startswith("chest_compression_fraction\n  more than 85 % (adult, child, infant); site")
        assert "erc_2021.pre_shock_pause_adult" in text

    def test_what_is_wrong_ends_in_one_message(self, tmp_path):
        result = run("targets", "--edition", "AHA 1820", code=2)
        assert "Choose one of: AHA 2020, ERC 2021" in result.stderr
        result = run("targets", "--site", tmp_path / "none.toml", code=2)
        assert "none.toml: there is no such file" in result.stderr


def test_the_version_is_told():
    assert run("--version").stdout.strip() == f"debrief, version {__version__}"


def test_help_imports_nothing_heavy():
    """Help is there in a blink because the tables and pages are imported inside the commands."""
    code = (
        "import sys; from debrief.cli import main; main(['--help'], standalone_mode=False); "
        "print(sorted({'numpy', 'pandas', 'pyarrow', 'dash', 'plotly', 'rich'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
