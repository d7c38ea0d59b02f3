"""Every sentence that the importers use stands in the language tables, and can be filled in."""

import re
from pathlib import Path

import pytest

import debrief
from debrief import words

SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in Path(debrief.__file__).parent.rglob("*.py"))
CODES = sorted(set(re.findall(r'\b(?:problem|notice|tell|tell_each)\(\s*"(\w+)"', SOURCE)))
REFUSALS = sorted(set(re.findall(r'\brefused\(\s*[\w". ()]+?, "(\w+)"', SOURCE)))


@pytest.mark.parametrize(
    "code",
    [
        *CODES,
        "column_of_marks",
        "column_ignored",
        "hour_missing",
        "hour_twice",
        "source_unreadable",
        "file_left_out",
    ],
)
def test_every_problem_has_a_severity_and_a_sentence(code):
    severity, _, sentence = words.sentences()[f"problems.{code}"].partition(": ")

    assert severity in ("note", "check", "blocking")
    assert sentence.endswith((".", "{reason}"))


@pytest.mark.parametrize(
    "key", [*REFUSALS, "archive_here", "no_importer", "no_time_column", "no_mark_column"]
)
def test_every_refusal_names_the_file_and_ends_in_a_remedy(key):
    sentence = words.sentences()[f"importing.{key}"]

    assert sentence.startswith(("{file}", "{path}"))
    assert len(re.findall(r"[.)}](?: |$)", sentence)) > 1 or key == "no_sources"


def test_the_search_finds_what_it_should():
    """Else the tests above would hold for nothing."""
    assert {"label_unmapped", "time_unreadable", "source_missing", "out_of_order"} <= set(CODES)
    assert {"empty_file", "broken_zip", "unpacks_too_large"} <= set(REFUSALS)
