"""The commands, by click's own runner and twice as a process of their own."""

import csv
import io
import json
import socket
import subprocess
import sys
import zipfile

import pytest
from click.testing import CliRunner

from debrief import __version__, targets
from debrief.cli import main
from debrief.importers import find_events
from debrief.model.contract import FORMAT, Figure, Report
from debrief.resources import shipped
from debrief.words import say

SAMPLES = shipped("sample_events")
SHEET = SAMPLES / "asystole_night_sheet.csv"
VF = SAMPLES / "vf_log_and_sheet"
UNTIDY = SAMPLES / "vf_untidy_sheet"


def run(*arguments, code=0):
    """Run a command in this process, and check how it ends; never with a traceback."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == code, result.output
    return result


def no_constant(name):
    raise AssertionError(f"{name} is not JSON")


def read_json(text):
    """Parse JSON as others do: NaN and Infinity are none."""
    return json.loads(text, parse_constant=no_constant)


@pytest.fixture
def junk(tmp_path):
    """A file that no importer reads."""
    path = tmp_path / "junk.bin"
    path.write_bytes(bytes(range(256)) * 8)
    return path


class TestMeasure:
    """What ``debrief measure`` gives."""

    def test_one_event_is_an_object_with_all_of_the_contract(self):
        report = read_json(run("measure", VF, "--format", "json", "--draws", 20).stdout)
        assert set(report) == set(Report.__annotations__)
        assert report["format"] == FORMAT
        assert {key for figure in report["figures"] for key in figure} == set(Figure.__annotations__)

    def test_a_missing_figure_is_null_with_a_sentence(self):
        report = read_json(run("measure", SHEET, "--format", "json", "--draws", 0).stdout)
        missing = [figure for figure in report["figures"] if figure["value"] is None]
        assert missing
        assert all(figure["because"] for figure in missing)

    def test_several_events_are_an_array_in_order(self):
        reports = read_json(run("measure", SAMPLES, "--format", "json", "--draws", 0).stdout)
        assert len(reports) == len(find_events(SAMPLES))
        assert [report["event"]["event_id"] for report in reports][-2:] == [
            "vf-log-and-sheet",
            "vf-untidy-sheet",
        ]

    def test_without_draws_nothing_is_assessed(self):
        report = read_json(run("measure", VF, "--format", "json", "--draws", 0).stdout)
        assert {figure["certainty"] for figure in report["figures"]} == {"not_assessed"}
        assert all(figure["low"] is None and figure["high"] is None for figure in report["figures"])

    def test_csv_is_one_row_a_figure_with_the_columns_of_json(self):
        arguments = ("measure", SAMPLES, "--draws", 0, "--format")
        reports = read_json(run(*arguments, "json").stdout)
        rows = list(csv.DictReader(io.StringIO(run(*arguments, "csv").stdout)))
        assert list(rows[0]) == ["event_id", *Figure.__annotations__]
        expected = [figure for report in reports for figure in report["figures"]]
        assert [row["name"] for row in rows] == [figure["name"] for figure in expected]
        for row, figure in zip(rows, expected, strict=True):
            assert json.loads(row["value"] or "null") == figure["value"]
            assert json.loads(row["target"] or "null") == figure["target"]
            assert row["because"] == (figure["because"] or "")

    def test_the_table_says_first_what_was_not_seen_and_last_the_caution(self):
        text = run("measure", UNTIDY).stdout
        lines = text.splitlines()
        assert lines[0] == "vf-untidy-sheet, judged by AHA 2020"
        assert lines[2].startswith("Could not be seen: ")
        assert "● Hands on the chest " in text
        assert "Asked: at least 60 %, AHA 2020: met." in text
        assert "Problems in the data:\n" in text
        assert " ".join(text.split()).endswith(say("pages.caution"))
        assert max(map(len, lines)) <= 100

    def test_a_second_edition_stands_beside_the_first(self):
        text = run("measure", VF, "--draws", 0, "--beside", "ERC 2021").stdout
        assert text.startswith("vf-log-and-sheet, judged by AHA 2020; what ERC 2021 asks stands beside")
        assert "Asked: at least 60 %, AHA 2020: met." in text
        assert ", ERC 2021: " in text

    def test_an_edition_and_a_site_may_be_chosen(self, tmp_path):
        assert run("measure", VF, "--draws", 0, "--edition", "ERC 2021").stdout.startswith(
            "vf-log-and-sheet, judged by ERC 2021"
        )
        site = tmp_path / "ours.toml"
        site.write_text(
            'role = "lead"\ndate = 2026-01-31\n'
            '[limit."aha_2020.compression_fraction_adult"]\nat_least = 0.99\n',
            encoding="utf-8",
        )
        text = run("measure", VF, "--draws", 0, "--site", site).stdout
        assert "Asked: at least 99 %, This site: not met." in text

    def test_files_of_one_event_are_joined_where_asked(self):
        files = sorted(VF.glob("*.csv"))
        apart = read_json(run("measure", *files, "--format", "json", "--draws", 0).stdout)
        joined = read_json(run("measure", "--event", *files, "--format", "json", "--draws", 0).stdout)
        assert len(apart) == 2
        assert [entry["file"] for entry in joined["inputs"]] == [path.name for path in files]

    def test_a_shorter_pause_rule_changes_what_is_a_pause(self):
        strict, loose = (
            read_json(run("measure", VF, "--format", "json", "--draws", 0, "--min-pause", limit).stdout)
            for limit in (1, 20)
        )
        assert len(loose["pauses"]) < len(strict["pauses"])

    def test_times_in_two_parts_may_be_elapsed(self, tmp_path):
        path = tmp_path / "elapsed.csv"
        path.write_text("time,mark\n00:00,no pulse\n01:30,cpr started\n09:00,rosc\n", encoding="utf-8")

        def first(times):
            report = read_json(
                run("measure", path, "--times", times, "--format", "json", "--draws", 0).stdout
            )
            return next(
                figure["value"]
                for figure in report["figures"]
                if figure["name"] == "time_to_first_compression"
            )

        assert first("elapsed") == 90.0
        assert first("clock") == 5400.0

    def test_output_goes_to_a_file_in_utf_8(self, tmp_path):
        path = tmp_path / "out.txt"
        result = run("measure", UNTIDY, "--draws", 0, "-o", path)
        assert result.stdout == ""
        assert "● Hands on the chest" in path.read_text(encoding="utf-8")

    @pytest.mark.parametrize(
        ("arguments", "complaint"),
        [
            (("--beside", "AHA 1820"), "Choose one of: AHA 2020, AHA 2025"),
            (("--edition", "AHA 1820"), "Choose one of: AHA 2020, AHA 2025, ERC 2021, ERC 2025"),
            (("--site", "none.toml"), "none.toml: there is no such file"),
            (("--map", "none.toml"), "none.toml"),
            (("--window", "some"), "some"),
            (("--min-pause", "0"), "0"),
            (("--draws", "-1"), "-1"),
            (("-o", "/no/such/folder/out.txt"), "/no/such/folder/out.txt: it cannot be written"),
        ],
    )
    def test_a_setting_that_cannot_be_is_one_message(self, arguments, complaint):
        result = run("measure", UNTIDY, "--draws", 0, *arguments, code=2)
        assert complaint in result.stderr
        assert result.stderr.count("Error:") == 1

    def test_a_file_that_cannot_be_read_is_named_and_the_others_are_measured(self, junk, tmp_path):
        result = run("measure", junk, SHEET, tmp_path / "gone.csv", "--format", "json", "--draws", 0, code=2)
        assert read_json(result.stdout)["event"]["event_id"] == "asystole-night-sheet"
        assert "junk.bin" in result.stderr
        assert "gone.csv" in result.stderr

    def test_nothing_measurable_ends_with_2_and_names_the_file(self, tmp_path):
        path = tmp_path / "empty_rows.csv"
        path.write_text("time,mark\n??,shock\n", encoding="utf-8")
        result = run("measure", path, code=2)
        assert result.stdout == ""
        assert "empty" in result.stderr


class TestCheck:
    """What ``debrief check`` says."""

    def test_problems_come_with_place_and_remedy(self):
        text = run("check", UNTIDY).stdout
        assert text.startswith("vf-untidy-sheet\n")
        assert "check: typed-sheet, line 10: Column 'time', read '07:3x:40'." in text
        assert "Write HH:MM or HH:MM:SS" in text

    def test_an_event_in_order_says_so(self):
        assert run("check", SAMPLES / "pea_child_airway").stdout == (
            f"pea-child-airway\n{say('commands.no_problems')}\n"
        )

    def test_problems_are_shown_even_where_nothing_can_be_measured(self, tmp_path):
        path = tmp_path / "sheet.csv"
        path.write_text("time,mark\n??,shock\n", encoding="utf-8")
        result = run("check", path, code=2)
        assert "line 2" in result.stdout
        assert "Error:" in result.stderr

    def test_a_file_that_cannot_be_read_ends_with_2(self, junk):
        assert "junk.bin" in run("check", junk, code=2).stderr


def test_the_demo_shows_every_sample_and_how_to_open_them():
    text = run("demo").stdout
    for found in find_events(SAMPLES):
        name = found.paths[0].stem.replace("_", "-")
        assert f"\n{name}, judged by AHA 2020\n" in text
    assert "Invented events" in text
    assert text.rstrip().splitlines()[-1] == f"Open them as timelines: debrief serve {SAMPLES}"


class TestGuide:
    """What ``debrief guide`` explains."""

    def test_without_a_name_it_lists_what_there_is(self):
        text = run("guide").stdout
        assert "certainty: How sure is a figure" in text
        assert "longest_pause: Longest pause" in text

    def test_a_figure_is_explained_and_told_by_one_edition_where_asked(self):
        text = run("guide", "shocks_before_epinephrine").stdout
        assert "How it is computed" in text
        assert "Exactly 2" in text
        assert "Exactly 3" in text
        assert "Exactly 2" not in run("guide", "shocks_before_epinephrine", "--edition", "ERC 2021").stdout

    def test_a_page_is_shown(self):
        assert run("guide", "limits").stdout.startswith("What debrief does not do")

    def test_what_is_unknown_is_answered_with_what_is_near(self):
        result = run("guide", "longest_paus", code=2)
        assert "longest_pause" in result.stderr


class TestTargets:
    """What ``debrief targets`` lists."""

    def test_what_judges_nothing_is_listed_and_says_so(self):
        lines = run("targets", "--edition", "AHA 2020").stdout.splitlines()
        stopping = lines[lines.index("etco2_at_20_min") + 1]
        assert "more than 10 mmHg (adult; with an advanced airway)" in stopping
        assert "shown and not judged" in stopping

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
        assert "Choose one of: AHA 2020, AHA 2025, ERC 2021, ERC 2025" in result.stderr
        result = run("targets", "--site", tmp_path / "none.toml", code=2)
        assert "none.toml: there is no such file" in result.stderr


def test_a_language_that_is_none_is_refused_with_those_there_are(monkeypatch):
    monkeypatch.setenv("DEBRIEF_LANGUAGE", "klingon")

    assert "read 'klingon'. Choose one of: english, german." in run("targets", code=2).stderr


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


def process(*arguments):
    """Run a command as a process of its own, as a shell would."""
    command = [sys.executable, "-m", "debrief", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, check=False)


def test_a_process_writes_utf_8_whatever_the_system_prefers(monkeypatch):
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    done = process("measure", SHEET, "--draws", 0)
    assert done.returncode == 0
    assert "◌ No source records when compressions stopped" in done.stdout.decode("utf-8")
    assert done.stderr == b""


def test_a_process_ends_with_2_and_no_traceback_on_a_bad_file(junk):
    done = process("measure", junk)
    assert done.returncode == 2
    assert done.stdout == b""
    assert b"junk.bin" in done.stderr
    assert b"Traceback" not in done.stderr


def test_serving_where_somebody_else_listens_is_one_message():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = process("serve", "--port", port, "--no-browser")
    assert done.returncode == 2
    assert f"Nothing can listen on 127.0.0.1:{port}" in done.stderr.decode()
    assert b"Traceback" not in done.stderr


class TestSeveralEvents:
    """Files and archives that hold several events."""

    LOG = (
        "Case,Time,Event\n7,14:03:22,CPR started\n9,08:10:00,CPR started\n7,14:12:00,ROSC\n9,08:20:00,ROSC\n"
    )

    def test_each_event_of_a_file_is_measured_by_itself(self, tmp_path):
        path = tmp_path / "cases.csv"
        path.write_text(self.LOG)

        reports = json.loads(run("measure", path, "--format", "json", "--draws", 0).stdout)

        assert [report["event"]["event_id"] for report in reports] == ["7", "9"]
        assert all(
            "several_events" not in [each["code"] for each in report["problems"]] for report in reports
        )

    def test_each_event_of_an_archive_is_measured_by_itself(self, tmp_path):
        path = tmp_path / "week.zip"
        with zipfile.ZipFile(path, "w") as file:
            file.writestr("bay/event.json", json.dumps({"event_id": "bay-4"}))
            file.writestr("bay/log.csv", "time,mark\n14:03,CPR started\n14:05,ROSC\n")
            file.writestr("cases.csv", self.LOG)

        reports = json.loads(run("measure", path, "--format", "json", "--draws", 0).stdout)

        assert [report["event"]["event_id"] for report in reports] == ["bay-4", "7", "9"]
