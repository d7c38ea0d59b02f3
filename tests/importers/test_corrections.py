"""Corrections, held to what they promise: nothing written changes, all can be undone, figures follow."""

import json
from hashlib import sha256

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from debrief.assess import Asked, assess_event
from debrief.errors import BadSetting, NothingMeasurable
from debrief.importers import Settings, corrections, read_event
from debrief.importers.corrections import writing
from debrief.importers.corrections.writing import By
from debrief.importers.mapping import Answer, Mapping

LOG = """time,mark,detail,amount,unit,note
14:03:20,pulseless,,,,
14:03:30,compressions_start,,,,
14:05:30,compressions_stop,,,,
14:05:38,shock,,200,J,
14:05:44,compressions_start,,,,
14:07:40,drug,epinephrine,1,mg,
14:08:00,compressions_stop,,,,
14:08:20,compressions_start,,,,
14:12:00,drug,epinephrine,1,mg,
14:14:00,compressions_stop,,,,
14:14:30,rosc,,,,
"""
SHEET = "time,mark,detail,amount,unit\n14:06,shock,,200,J\n14:08,drug,epinephrine,1,mg\n14:15,rosc,,,\n"
MARKS = [f"monitor:{line}" for line in range(2, 13)] + [f"sheet:{line}" for line in range(2, 5)]
TIMES = ["14:03:25", "14:04:50", "14:06:02", "14:09:10", "14:13:33"]
KINDS = [
    ("shock", None),
    ("note", None),
    ("rhythm", "vf"),
    ("drug", "amiodarone"),
    ("compressions_stop", None),
]
ROLES = st.sampled_from(["", "nurse", "quality"])


def folder_at(path, log=LOG):
    """Write the two sources into a folder of their own."""
    path.mkdir(parents=True, exist_ok=True)
    (path / "monitor.csv").write_text(log)
    (path / "sheet.csv").write_text(SHEET)
    told = {"sources": [{"file": "monitor.csv", "kind": "device"}, {"file": "sheet.csv", "kind": "person"}]}
    (path / "event.json").write_text(json.dumps(told))
    return path


def figures(event):
    """Return all figures of an event, without what stands beside them."""
    try:
        return {one["name"]: one["value"] for one in assess_event(event, Asked(draws=0)).judged()}
    except NothingMeasurable as error:
        return str(error)


class Reviewing(RuleBasedStateMachine):
    """Whatever two reviewers do, sources stay as they are, and undoing all of it leaves nothing of it."""

    tmp_path = None

    @initialize()
    def begin(self):
        Reviewing.number = getattr(Reviewing, "number", 0) + 1
        self.folder = folder_at(self.tmp_path / f"e{self.number}")
        self.digests = self.bytes_now()
        self.event = read_event([self.folder])
        self.before = figures(self.event)
        self.stood = [self.before]

    def bytes_now(self):
        return {
            path.name: sha256(path.read_bytes()).hexdigest()
            for path in self.folder.iterdir()
            if path.name != "corrections.jsonl"
        }

    def said(self):
        self.event = read_event([self.folder])
        self.stood.append(figures(self.event))

    @rule(mark=st.sampled_from(MARKS), time=st.sampled_from(TIMES), role=ROLES)
    def move(self, mark, time, role):
        self.correct(mark, {"time": time}, role)

    @rule(mark=st.sampled_from(MARKS), kind=st.sampled_from(KINDS), role=ROLES)
    def relabel(self, mark, kind, role):
        self.correct(mark, {"kind": kind[0], "detail": kind[1]}, role)

    @rule(mark=st.sampled_from(MARKS), amount=st.sampled_from([0.5, 1.0, 150.0]), role=ROLES)
    def amend(self, mark, amount, role):
        self.correct(mark, {"amount": amount, "unit": "mg" if amount < 2 else "J"}, role)

    def correct(self, mark, values, role):
        if writing.correct(self.folder, self.event, mark, values, By(role, "seen on the strip")):
            self.said()

    @rule(mark=st.sampled_from(MARKS), role=ROLES)
    def take_out_or_put_back(self, mark, role):
        writing.count(self.folder, self.event, [mark], mark in self.event.removed, By(role))
        self.said()

    @rule(time=st.sampled_from(TIMES), kind=st.sampled_from(KINDS[:2]), role=ROLES)
    def add(self, time, kind, role):
        writing.add(self.folder, self.event, {"time": time, "kind": kind[0]}, By(role))
        self.said()

    @rule(first=st.sampled_from(MARKS[:11]), second=st.sampled_from(MARKS[11:]), link=st.booleans())
    def link_or_part(self, first, second, link):
        change = corrections.Correction("link" if link else "part", first, other=second)
        writing.write(self.folder, self.event, [change])
        self.said()

    @rule(name=st.sampled_from(["time_zero", "end"]), time=st.sampled_from([*TIMES, None]))
    def set_moment(self, name, time):
        writing.set_moment(self.folder, self.event, name, time)
        self.said()

    @precondition(lambda self: len(self.stood) > 1)
    @rule(steps=st.integers(1, 4))
    def undo_and_redo(self, steps):
        steps = min(steps, len(self.stood) - 1)
        for back in range(1, steps + 1):
            writing.undo(self.folder)
            assert figures(read_event([self.folder])) == self.stood[-1 - back]
        for forth in range(steps - 1, -1, -1):
            writing.redo(self.folder)
            assert figures(read_event([self.folder])) == self.stood[-1 - forth]

    @precondition(lambda self: len(self.stood) > 1)
    @rule()
    def undo_one_for_good(self):
        writing.undo(self.folder)
        self.stood.pop()
        self.event = read_event([self.folder])

    @invariant()
    def sources_are_what_they_were(self):
        if hasattr(self, "folder"):
            assert self.bytes_now() == self.digests
            assert {"14:03:20", "14:05:38"} <= {*self.event.marks["time_text"].to_pylist()}

    def teardown(self):
        if not hasattr(self, "folder"):
            return
        for _ in self.stood[1:]:
            writing.undo(self.folder)
        with pytest.raises(BadSetting, match="nothing to undo"):
            writing.undo(self.folder)
        event = read_event([self.folder])
        assert figures(event) == self.before
        assert event.corrected == {}
        assert [one.code for one in event.problems if "correct" in one.code] == []


def test_whatever_reviewers_do_sources_stay_and_all_of_it_can_be_undone(tmp_path):
    Reviewing.tmp_path = tmp_path
    run_state_machine_as_test(
        Reviewing, settings=settings(max_examples=15, stateful_step_count=12, deadline=None)
    )


ROWS = [line.split(",") for line in LOG.splitlines()[1:]]
CHANGES = st.dictionaries(
    st.integers(0, len(ROWS) - 1),
    st.one_of(
        st.sampled_from(TIMES).map(lambda time: {"time": time}),
        st.sampled_from(KINDS).map(lambda kind: {"kind": kind[0], "detail": kind[1]}),
        st.just(None),
    ),
    max_size=5,
)


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=CHANGES)
def test_corrected_marks_measure_as_if_they_had_been_written_so(tmp_path, changes):
    home = tmp_path / sha256(repr(changes).encode()).hexdigest()[:12]
    corrected = folder_at(home / "corrected")
    rows = [[*row] for row in ROWS]
    for number, values in changes.items():
        event = read_event([corrected])
        if values is None:
            writing.count(corrected, event, [MARKS[number]], False)
            rows[number] = []
            continue
        writing.correct(corrected, event, MARKS[number], values)
        if "time" in values:
            rows[number][0] = values["time"]
        else:
            rows[number][1:3] = [values["kind"], values["detail"] or ""]
    head = LOG.splitlines()[0]
    kept = sorted((row for row in rows if row), key=lambda row: row[0])
    by_hand = folder_at(home / "by hand", "\n".join([head, *(",".join(row) for row in kept)]) + "\n")

    assert figures(read_event([corrected])) == figures(read_event([by_hand]))


def test_what_was_written_stands_beside_what_it_was_corrected_to(tmp_path):
    folder = folder_at(tmp_path / "e")
    event = read_event([folder])
    values = {"time": "14:05:40", "kind": "shock", "amount": 150.0, "unit": "J"}
    writing.correct(folder, event, "monitor:5", values, By("nurse", "the strip says 150 J"))
    event = read_event([folder])
    row = next(row for row in event.marks.to_pylist() if (row["source_id"], row["place"]) == ("monitor", "5"))

    assert (row["time_text"], row["label"], row["amount"]) == ("14:05:38", "shock", 150.0)
    assert event.corrected["monitor:5"].read == {"amount": 200.0}
    assert event.corrected["monitor:5"].time_text == "14:05:40"
    move, amend = corrections.read(folder)
    assert (move.action, move.was, move.to) == ("move", {"time": "14:05:38"}, {"time": "14:05:40"})
    assert (amend.action, amend.was["amount"], amend.to["amount"]) == ("amend", 200.0, 150.0)
    assert {one.role for one in (move, amend)} == {"nurse"}
    assert {one.why for one in (move, amend)} == {"the strip says 150 J"}
    assert [one.code for one in event.problems if one.code == "marks_corrected"] == ["marks_corrected"]


def test_of_two_reviewers_the_last_word_stands_and_that_they_differ_is_said(tmp_path):
    folder = folder_at(tmp_path / "e")
    event = read_event([folder])  # both looked at the event before either wrote
    writing.correct(folder, event, "monitor:5", {"amount": 150.0, "unit": "J"}, By("nurse"))
    writing.correct(folder, event, "monitor:7", {"time": "14:07:50"}, By("nurse"))
    writing.correct(folder, event, "monitor:5", {"amount": 360.0, "unit": "J"}, By("physician"))
    event = read_event([folder])

    rows = {f"{row['source_id']}:{row['place']}": row for row in event.marks.to_pylist()}
    assert rows["monitor:5"]["amount"] == 360.0
    assert event.corrected["monitor:7"].time_text == "14:07:50"
    (told,) = [one.message for one in event.problems if one.code == "corrected_by_two"]
    assert "the amount of monitor:5" in told
    assert "ward nurse" in told
    assert "ward physician" in told


def test_corrections_survive_a_reader_that_finds_more_in_the_same_bytes(tmp_path):
    folder = folder_at(tmp_path / "e", LOG + "14:16:00,seen by the family,,,,\n")
    writing.correct(folder, read_event([folder]), "monitor:13", {"time": "14:15:10"}, By("nurse"))
    writing.count(folder, read_event([folder]), ["monitor:5"], False)
    before = read_event([folder])
    answers = Mapping(labels={"seen by the family": Answer("note")})

    better = read_event([folder], Settings(mapping=answers))

    assert before.marks["kind"].to_pylist().count("unmapped") == 1
    assert better.marks["kind"].to_pylist().count("unmapped") == 0
    assert better.corrected["monitor:13"].time_text == "14:15:10"
    assert better.removed == {"monitor:5"}


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"time": "soon"}, "Time: read 'soon'"),
        ({"time": "72.5"}, "Time: read '72.5'"),
        ({"kind": "zap"}, "no kind of mark"),
        ({"kind": "rhythm", "detail": "loud"}, "which rhythm cannot have"),
        ({"amount": -1.0, "unit": "mg"}, "Amount: read '-1.0'"),
        ({"amount": float("nan"), "unit": "mg"}, "Amount: read 'nan'"),
        ({"length": 1e9}, "How long"),
        ({"note": "x" * 600}, "Note"),
        ({"source_time": 5}, "A change of source_time is none"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_nothing_is_written(tmp_path, values, said):
    folder = folder_at(tmp_path / "e")

    with pytest.raises(BadSetting, match=said):
        writing.correct(folder, read_event([folder]), "monitor:5", values)

    assert not (folder / "corrections.jsonl").exists()


def test_a_mark_that_is_not_there_cannot_be_corrected(tmp_path):
    folder = folder_at(tmp_path / "e")
    with pytest.raises(BadSetting, match="There is no mark monitor:99"):
        writing.count(folder, read_event([folder]), ["monitor:99"], False)


def test_after_a_new_change_nothing_can_be_brought_back(tmp_path):
    folder = folder_at(tmp_path / "e")
    writing.count(folder, read_event([folder]), ["monitor:5"], False)
    writing.undo(folder)
    writing.count(folder, read_event([folder]), ["monitor:7"], False)

    with pytest.raises(BadSetting, match="nothing to bring back"):
        writing.redo(folder)


def test_one_change_is_taken_back_from_between_others(tmp_path):
    folder = folder_at(tmp_path / "e")
    for mark in ("monitor:5", "monitor:7", "monitor:10"):
        writing.count(folder, read_event([folder]), [mark], False)
    middle = corrections.read(folder)[1]
    writing.undo(folder, middle.key)

    assert read_event([folder]).removed == {"monitor:5", "monitor:10"}
