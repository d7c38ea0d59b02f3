"""Questions: suggested in time order, read back from TOML, refused with a remedy."""

import pytest

from debrief.assess import assess
from debrief.errors import BadSetting
from debrief.resources import shipped
from debrief.teaching.questions import as_toml, read_questions, suggested


@pytest.fixture(scope="module")
def report():
    return assess([shipped("sample_events") / "vf_log_and_sheet"]).to_dict()


def test_suggested_questions_come_back_from_their_file(report, tmp_path):
    path = tmp_path / "questions.toml"
    asks = suggested(report)
    path.write_text(as_toml(asks), encoding="utf-8")

    assert len(asks) == 5
    assert [one.at for one in asks] == sorted(one.at for one in asks)
    assert read_questions(path, report) == asks


def test_a_question_stands_at_a_time_or_a_mark(report, tmp_path):
    path = tmp_path / "questions.toml"
    path.write_text('[[question]]\nat="shock 2"\nbefore=5\nprompt="b"\n[[question]]\nat="1:30"\nprompt="a"\n')

    assert [one.at for one in read_questions(path, report)] == [90.0, report["shocks"][1]["time"] - 5]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[question]]\nat="shock 99"\nprompt="a"', "shock 1"),
        ('[[question]]\nat=1\nprompts="a"', "prompts"),
        ("[[question]]\nat=1", "needs a prompt"),
        ("a = 1", "--suggest"),
        ("a = ", "no TOML"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_what_to_write(report, tmp_path, text, said):
    path = tmp_path / "questions.toml"
    path.write_text(text)

    with pytest.raises(BadSetting, match=said):
        read_questions(path, report)
