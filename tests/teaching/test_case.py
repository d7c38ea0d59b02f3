"""A case is kept and handed on whole, and what comes in can hold no more than a copy does."""

import json
from dataclasses import replace

import pytest

from debrief.assess import Asked
from debrief.errors import BadSetting
from debrief.importers import Settings, read_event
from debrief.reports.cases import copy_of
from debrief.resources import shipped
from debrief.teaching.case import Case, case_of, content, handed_on, pointed_out, taken_in
from debrief.teaching.copy import PassedNote
from debrief.teaching.notes import notes_of
from debrief.teaching.questions import suggested

SAMPLES = sorted(path.name for path in shipped("sample_events").iterdir() if path.is_dir())


def made(name="vf_log_and_sheet"):
    folder = shipped("sample_events") / name
    marks = {note.mark: None for note in notes_of(read_event([folder]))[:2]}
    copy, _ = copy_of([folder], Settings(), Asked(draws=20), marks)
    asks = tuple(suggested(copy.report))
    return Case(copy.report, "A long search", ("Hands on",), asks, True, copy.notes, ("pauses",))


@pytest.mark.parametrize("name", SAMPLES)
def test_a_case_comes_back_as_it_was_kept_and_as_it_was_handed_on(name):
    """So a copy of a copy is that copy: nothing in it is left out twice."""
    case = made(name)

    assert content(case_of(content(case))) == content(case)
    assert content(taken_in(handed_on(case))) == content(replace(case, elsewhere=True))
    assert handed_on(case) == handed_on(case_of(content(case)))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda told: told["case"]["goals"].append("Ask Dr Roe"), "was changed after"),
        (lambda told: told.update(sha256="0" * 64), "was changed after"),
        (lambda told: told.update(format="debrief-case-2"), "newer version"),
        (lambda told: told.update(format="recipe"), "no case"),
        (lambda told: told.pop("case"), "no case"),
    ],
)
def test_what_was_changed_or_is_none_is_not_taken_in(change, said):
    told = json.loads(handed_on(made()))
    change(told)

    with pytest.raises(BadSetting, match=said):
        taken_in(json.dumps(told).encode())


@pytest.mark.parametrize(
    "change",
    [
        lambda report: report["event"].update(unit="Alderwick Ward"),
        lambda report: report["time_zero"].update(wall="2031-07-19T14:03:27"),
        lambda report: report["sources"][0].update(file="Quillfeather.csv"),
        lambda report: report["inputs"].append({"file": "a.csv", "sha256": "0" * 64}),
        lambda report: report["occurrences"][0].update(detail="Dr Ptolemy Ashgrove"),
        lambda report: report.update(surname="Quillfeather"),
    ],
)
def test_what_holds_more_than_a_copy_is_not_taken_in_though_its_digest_fits(change):
    case = made()
    change(case.report)

    with pytest.raises(BadSetting, match="more than a teaching copy"):
        taken_in(handed_on(case))


@pytest.mark.parametrize("given", [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"format": 1}', b"[" * 100_000])
def test_bytes_that_are_no_case_are_refused_in_words(given):
    with pytest.raises(BadSetting, match="no case"):
        taken_in(given)


def test_what_looks_like_an_identifier_is_pointed_out_in_every_text_and_over_two_notes():
    notes = (PassedNote("s1:1", 1.0, "MRN 8831"), PassedNote("s1:2", 2.0, "4077 called"))
    case = replace(made(), title="The arrest of Dr Ashgrove", notes=notes)

    found = pointed_out(case)

    assert any("Ashgrove" in text for text, _ in found)
    assert any(where == "two notes together" for _, where in found)
