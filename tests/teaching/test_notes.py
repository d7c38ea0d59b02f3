"""The notes that a reviewer reads before one is passed."""

from debrief.assess import assess
from debrief.teaching.copy import teaching_copy
from debrief.teaching.notes import notes_of
from tests.made import event, row
from tests.teaching.identified import write


def test_notes_and_free_details_are_listed_by_mark():
    """Each once, with what looks like an identifier; drugs and rhythms are no notes."""
    rows = [
        row(0, "recognition", note="found by Jane Roe"),
        row(5, "note", "pads on", note="pads on"),
        row(9, "drug", "epinephrine"),
    ]
    notes = notes_of(event(rows))

    assert [(note.mark, note.text) for note in notes] == [
        ("log:0", "found by Jane Roe"),
        ("log:5", "pads on"),
    ]
    assert [[one.text for one in note.found] for note in notes] == [["Jane Roe"], []]


def test_every_listed_note_on_the_timeline_can_be_passed(tmp_path):
    """By the mark that it is listed under, through real files."""
    assessment = assess([write(tmp_path)], draws=0)
    report = assessment.to_dict()
    placed = {mark for one in report["occurrences"] for mark in one["marks"]}
    listed = [note for note in notes_of(assessment.event) if note.mark in placed]
    made = teaching_copy(report, passed_notes={note.mark: note.text for note in listed})

    assert len(listed) >= 60
    assert sorted(note.text for note in made.notes) == sorted(note.text for note in listed)
