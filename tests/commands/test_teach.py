"""``debrief teach``: one file, a folder with its index, what is left out, and refusals."""

import pytest
from click.testing import CliRunner

from debrief.cli import main
from debrief.resources import shipped

EVENT = shipped("sample_events") / "three_clocks"


def run(*arguments, code=0):
    result = CliRunner().invoke(main, ["teach", *map(str, arguments)])
    assert result.exit_code == code, result.output
    return result


def test_a_case_is_written_and_what_is_left_out_of_it_is_said(tmp_path):
    said = run(EVENT, "-o", tmp_path / "case.html", "--title", "Three clocks", "--check").stdout

    assert b"Three clocks" in (tmp_path / "case.html").read_bytes()
    assert "file" in said.casefold()


def test_a_folder_gets_a_case_each_and_an_index(tmp_path):
    run(EVENT, shipped("sample_events") / "child_by_weight", "-o", tmp_path / "cases")
    index = (tmp_path / "cases" / "index.html").read_text(encoding="utf-8")

    assert all(f'href="case-{number}.html"' in index for number in (1, 2))
    assert sorted(path.name for path in (tmp_path / "cases").iterdir()) == [
        "case-1.html",
        "case-2.html",
        "index.html",
    ]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((EVENT,), "-o FILE.html"),
        ((EVENT, "--picture", "a.pdf"), ".svg or .png"),
        ((EVENT, EVENT, "-o", "a.html"), "2 events"),
    ],
)
def test_what_cannot_be_written_is_refused(arguments, said):
    assert said in run(*arguments, code=2).stderr


def test_words_that_may_name_somebody_are_pointed_out(tmp_path):
    assert (
        "Look again"
        in run(EVENT, "-o", tmp_path / "a.html", "--title", "The case of Mr. Alban Vorrick").stderr
    )
