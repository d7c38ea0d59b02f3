"""What is shown to somebody who maps a file, and that answers stand and are remembered."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.errors import BadSetting
from debrief.importers import Answer, Mapping, Settings, mapping, read_event, understand
from debrief.words import KINDS

ODD = "Quand;Quoi;Zzz\n14:01:05;CPR started;5\n"
ODD += "14:02:10;Kick 200 J;6\n14:03:00;Kick 300 J;7\n14:04:00;Whistle;8\n"


@pytest.fixture
def odd(tmp_path):
    path = tmp_path / "odd.csv"
    path.write_text(ODD)
    return path


def test_columns_say_what_they_were_taken_for_and_how_surely(odd):
    found = understand(odd)

    assert [(each.name, each.meaning, each.sure) for each in found.columns] == [
        ("Quand", "time", "content"),
        ("Quoi", "mark", "content"),
        ("Zzz", "ignored", "unknown"),
    ]
    assert found.columns[2].samples == ("5", "6", "7")
    assert (found.delimiter, found.encoding, found.heading, found.row_count) == (";", "utf-8", "1", 4)


def test_labels_that_are_not_understood_stand_first(odd):
    found = understand(odd)

    assert [(each.key, each.count, each.sure) for each in found.labels] == [
        ("kick", 2, "unmapped"),
        ("whistle", 1, "unmapped"),
        ("cpr started", 1, "known"),
    ]


def test_everything_is_plain_data(odd):
    found = understand(odd)
    again = json.loads(json.dumps(found.to_dict()))

    assert again["preview"][0] == {
        "place": "2",
        "time_text": "14:01:05",
        "clock": "14:01:05",
        "kind": "compressions_start",
        "detail": None,
        "amount": None,
        "unit": None,
        "route": None,
        "label": "CPR started",
        "note": None,
    }
    assert again["rows"][0] == ["Quand", "Quoi", "Zzz"]
    assert again["mapping"]["columns"] == {"Quand": "time", "Quoi": "mark", "Zzz": "ignored"}


def test_answers_change_the_preview_and_are_remembered_for_the_layout(odd, tmp_path):
    first = understand(odd)
    answers = Mapping(
        layout=first.mapping.layout,
        columns={**first.mapping.columns, "Zzz": "note"},
        labels={"kick": Answer("shock"), "whistle": Answer("note")},
        kind="person",
    )
    shown = understand(odd, Settings(mapping=answers))
    mapping.remember(answers, tmp_path / "answers")
    other = tmp_path / "other.csv"
    other.write_text("QUAND;quoi;zzz!\n09:00:00;Kick;1\n")

    event = read_event([other], Settings(remembered=tmp_path / "answers"))

    assert [(each.kind, each.amount, each.note) for each in shown.preview[1:3]] == [
        ("shock", 200, "6"),
        ("shock", 300, "7"),
    ]
    assert {each.sure for each in shown.labels} == {"known", "answered"}
    assert [each.code for each in shown.problems] == []
    assert event.marks["kind"].to_pylist() == ["shock"]
    assert understand(other, Settings(remembered=tmp_path / "answers")).remembered


def test_a_given_mapping_for_another_layout_is_told(odd):
    event = read_event(
        [odd], Settings(mapping=Mapping(layout="0123456789abcdef", labels={"kick": Answer("shock")}))
    )

    assert "mapping_unused" in [each.code for each in event.problems]
    assert "shock" not in event.marks["kind"].to_pylist()


def test_a_missing_column_is_a_question_that_an_answer_ends(tmp_path):
    path = tmp_path / "odd.csv"
    path.write_text("aaa,bbb\n1x,zip\n2x,zap\n")
    first = understand(path)

    found = understand(path, Settings(mapping=Mapping(columns={"aaa": "time", "bbb": "mark"})))

    assert [each.key for each in first.questions] == ["time_column", "mark_column"]
    assert [each.value for each in first.questions[0].choices] == ["aaa", "bbb"]
    assert (found.questions, len(found.preview)) == ((), 2)


def test_a_meaning_given_to_one_column_leaves_the_other(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("time,mark,what really happened\n14:03,x,CPR started\n")

    found = understand(path, Settings(mapping=Mapping(columns={"what really happened": "mark"})))

    assert [each.meaning for each in found.columns] == ["time", "ignored", "mark"]
    assert found.preview[0].kind == "compressions_start"


def test_answers_about_times_and_dates_end_their_questions(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("time,mark\n0:10,CPR\n9:40,ROSC\n")

    assert [each.key for each in understand(path).questions] == ["times"]
    assert understand(path, Settings(mapping=Mapping(times="elapsed"))).questions == ()
    assert understand(path, Settings(times="clock", mapping=Mapping(times="elapsed"))).scale == "clock"


TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
ANSWERS = st.builds(
    Answer,
    st.sampled_from(sorted(name for name, kind in KINDS.items() if kind.detail in ("", "free", "drug"))),
    st.none() | TEXT,
    st.none() | st.floats(allow_nan=False, allow_infinity=False),
    st.none() | TEXT,
    st.none() | TEXT,
)
MAPPINGS = st.builds(
    Mapping,
    layout=st.text("0123456789abcdef", max_size=16),
    columns=st.dictionaries(TEXT, st.sampled_from(mapping.SEVERAL), max_size=4),
    labels=st.dictionaries(TEXT, ANSWERS, max_size=4),
    times=st.sampled_from([None, "clock", "elapsed"]),
    dates=st.sampled_from([None, "day_first", "month_first"]),
    kind=st.sampled_from([None, "person", "device", "sensor"]),
    sheet=st.none() | TEXT,
)


@settings(deadline=None)
@given(MAPPINGS)
def test_a_mapping_comes_back_from_its_file(tmp_path_factory, answers):
    """Whatever the words in it."""
    path = tmp_path_factory.mktemp("map") / "a.toml"

    mapping.save(answers, path)

    assert mapping.load(path) == answers


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('times = "local"', "times"),
        ("colour = 1", "colour"),
        ('[columns]\nWhen = "clock"', "columns.When"),
        ('[labels.kick]\nkind = "boot"', "labels.kick"),
        ('[labels.kick]\nkind = "shock"\namount = "x"', "labels.kick"),
        ('[labels.kick]\nkind = "rhythm"\ndetail = "fast"', "labels.kick"),
        ('[columns]\nWhen = "time"\nThen = "time"', "columns.Then"),
        ("columns = 1", "columns"),
        ("sheet = 1", "sheet"),
    ],
)
def test_a_mapping_that_says_what_cannot_be_is_refused(tmp_path, text, key):
    path = tmp_path / "a.toml"
    path.write_text(text)

    with pytest.raises(BadSetting, match=f"'{key}'"):
        mapping.load(path)


@pytest.mark.parametrize("text", ["[", "\x00"])
def test_a_mapping_that_is_no_toml_is_refused(tmp_path, text):
    path = tmp_path / "a.toml"
    path.write_text(text)

    with pytest.raises(BadSetting, match="no mapping"):
        mapping.load(path)
    with pytest.raises(BadSetting, match="no mapping"):
        mapping.load(tmp_path / "gone.toml")


def test_a_mapping_that_names_what_the_file_does_not_have_is_told(odd):
    answers = Mapping(columns={"Quand": "time", "When": "date"}, sheet="Log")

    problems = {each.code: each for each in read_event([odd], Settings(mapping=answers)).problems}

    assert problems["mapping_no_column"].severity == "check"
    assert "'When'" in problems["mapping_no_column"].message
    assert "'Quand', 'Quoi', 'Zzz'" in problems["mapping_no_column"].message
    assert "'Log'" in problems["mapping_no_sheet"].message


def test_what_is_understood_and_saved_reads_the_file_of_another_site(odd, tmp_path):
    """The file that ``--map`` takes is the one that answers are kept in."""
    found = understand(odd).mapping
    mapping.save(
        replace(found, labels={"kick": Answer("shock"), "whistle": Answer("note")}), tmp_path / "a.toml"
    )
    other = tmp_path / "other.csv"
    other.write_text("quand;QUOI;zzz\n09:00:00;Kick 150 J;1\n")

    event = read_event([other], Settings(mapping=mapping.load(tmp_path / "a.toml")))

    assert event.marks["kind"].to_pylist() == ["shock"]
    assert "mapping_unused" not in [each.code for each in event.problems]
