"""A teaching copy holds nothing that was written, and measures what the event measured."""

import base64
import copy
import json
import re
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.assess import assess
from debrief.errors import BadSetting
from debrief.picture.layout import lay_out
from debrief.resources import shipped
from debrief.teaching.copy import teaching_copy
from debrief.teaching.telling import removed_rows, removed_text
from tests.made import assessed, row
from tests.teaching.identified import ALL, IDENTIFIERS, readings, write

SAMPLES = sorted(path for path in shipped("sample_events").iterdir() if not path.name.startswith("."))
PUNCTUATION = re.compile(r"[\W_]+")


@pytest.fixture(scope="module")
def stuffed(tmp_path_factory):
    return assess([write(tmp_path_factory.mktemp("stuffed"))], draws=20).to_dict()


def dumps(made):
    """Return all of a copy as text: the report, notes and sentences about it."""
    notes = [(note.mark, note.time, note.text) for note in made.notes]
    return json.dumps([made.report, notes], ensure_ascii=False) + removed_text(made)


def test_the_event_holds_sixty_identifiers_of_all_kinds(stuffed):
    """Else the next test proves nothing: most of them are in the report itself."""
    written = json.dumps(stuffed, ensure_ascii=False)

    assert list(IDENTIFIERS) == list("ABCDEFGHIJKLMNOPQR")
    assert len(ALL) >= 60
    assert all(len(found) >= 2 for found in IDENTIFIERS.values())
    assert sum(json.dumps(text, ensure_ascii=False)[1:-1] in written for text in ALL) >= 60


def test_no_identifier_is_in_any_byte_of_the_copy(stuffed):
    """As written, without its punctuation, and after unescaping, decoding and inflating any part."""
    found = list(readings(dumps(teaching_copy(stuffed))))
    plain = PUNCTUATION.sub("", found[0]).casefold()

    for text in [*ALL, "Quillfeather", "Ashgrove", "Brannigan", "Alderwick", "88412", "63.7"]:
        assert not any(text.casefold() in each.casefold() for each in found), text
        bare = PUNCTUATION.sub("", text).casefold()
        assert len(bare) < 6 or bare not in plain, text


def test_the_readings_find_what_is_hidden():
    """Else nothing found would mean nothing."""
    hidden = base64.b64encode(zlib.compress(b"Marguerite Quillfeather")).decode()
    twice = base64.b64encode(base64.b64encode(b"Marguerite Quillfeather")).decode()

    for text in (f"x {hidden} y", twice, "&#77;arguerite Quillfeather", "\\u004darguerite Quillfeather"):
        assert any("Marguerite Quillfeather" in each for each in readings(text))


def test_no_absolute_time_is_in_any_byte(stuffed):
    """No date in any form; no clock time of the afternoon of the event, which elapsed time never reaches."""
    text = re.sub(r'"citation": "[^"]*"', "", dumps(teaching_copy(stuffed)))  # publications, as they ship

    assert not re.search(r"\d{4}-\d\d-\d\d|\d{1,2}[./]\d{1,2}[./]\d{2,4}|2031|1937", text)
    assert not re.search(r"(?<!\d)1[34]:\d\d", text)
    numbers = [
        abs(float(each))
        for each in re.findall(r"(?<=[ \[])-?\d+\.\d+", json.dumps(teaching_copy(stuffed).report))
    ]
    assert max(numbers) < 3600  # the event lasted minutes, and no time counts from midnight or 1970


def test_the_report_tells_what_was_left_out_and_never_the_values(stuffed):
    """By item, with counts."""
    made = teaching_copy(stuffed)
    rows = {item: told for item, _, told in removed_rows(made)}

    assert [item for item, _, _ in removed_rows(made)] == [*"ABCDEFGHIJKLMNOPQR", "A-R"]
    assert "age over 89, now '90 or older' (1)" in rows["C"]
    assert "time zone (1)" in rows["B"]
    assert "names of files (2)" in rows["R"]
    assert any(told.startswith("notes that nobody passed") for told in rows["A-R"])
    assert made.report["event"]["age_group"] == "90 or older"
    assert "age_years" not in made.report["event"]
    assert made.report["event"]["weight_kg"] == 65


def test_the_original_is_left_as_it_was(stuffed):
    """And nothing of the copy is a part of it."""
    before = copy.deepcopy(stuffed)
    made = teaching_copy(stuffed)
    made.report["figures"][0]["window"].append([0.0, 1.0])
    made.report["covered"].clear()

    assert stuffed == before


@settings(max_examples=20)
@given(
    st.text(alphabet=st.characters(min_codepoint=0xE000, max_codepoint=0xE0FF), min_size=3, max_size=12),
    st.booleans(),
)
def test_no_string_of_a_report_goes_over(text, behind):
    """Every string of a report but the names of figures and problems replaced by something typed."""
    report = json.loads(RICH)

    def typed(value):
        if isinstance(value, str):
            return f"{value}{text}" if behind else text
        if isinstance(value, list):
            return [typed(each) for each in value]
        if not isinstance(value, dict):
            return value
        known = {"name", "code"} if {"verdict", "code"} & set(value) else set()  # else nothing of it is read
        return {key: each if key in known else typed(each) for key, each in value.items()}

    made = teaching_copy(typed(report))

    assert text not in dumps(made)


RICH = json.dumps(assess([shipped("sample_events") / "three_clocks"], draws=0).to_dict())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_figure_of_a_sample_event_is_that_of_the_original(path):
    """Value, bounds, verdict, targets and window; the one dose that nobody gives is no figure's."""
    report = assess([path], draws=50).to_dict()
    made = teaching_copy(report).report

    assert [shape(one) for one in made["figures"]] == [shape(one) for one in report["figures"]]
    assert made["by_minute"] == report["by_minute"]
    assert [one["length"] for one in made["pauses"]] == [one["length"] for one in report["pauses"]]
    assert all(
        bool(a["because"]) == bool(b["because"])
        for a, b in zip(made["figures"], report["figures"], strict=True)
    )


def shape(figure):
    """Return what a figure says apart from words and names."""
    keys = (
        "name",
        "value",
        "unit",
        "low",
        "high",
        "certainty",
        "verdict",
        "target",
        "other_targets",
        "window",
    )
    return [figure[key] for key in keys] + [len(figure["marks"])]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_copy_of_a_sample_event_lays_out_as_the_original(path):
    """The same items at the same times, and words that hold no wall time and no file."""
    report = assess([path], draws=0).to_dict()
    made = teaching_copy(report).report
    one, other = lay_out(report), lay_out(made)

    assert [item.id for item in other.items] == [item.id for item in one.items]
    assert not any(
        name in str(other)
        for source in report["sources"]
        for name in (source["file"], source["name"])
        if name
    )
    assert made["time_zero"]["wall"] is None
    assert "event time" not in str(other)


def test_marks_are_counted_by_source_and_runs_stay_runs():
    """``Monitor log!14`` becomes ``device 1:3``."""
    report = json.loads(RICH)
    made = teaching_copy(report).report
    own = {mark for one in made["occurrences"] for mark in one["marks"]}

    assert {mark.rpartition(":")[0] for mark in own} == {source["source_id"] for source in made["sources"]}
    assert {source["source_id"] for source in made["sources"]} == {"device 1", "sheet 1", "sensor 1"}
    runs = [mark for figure in made["figures"] for mark in figure["marks"] if mark not in own]
    assert runs
    assert all(re.fullmatch(r"(device|sheet|sensor) 1:\d+-\d+", run) for run in runs)


def test_a_note_goes_over_only_as_passed():
    """Verbatim as rewritten, on its mark, and said to be a risk."""
    rows = [
        row(0, "recognition"),
        row(5, "note", "Ask Jane Roe"),
        row(9, "note", "left out"),
        row(20, "rosc"),
    ]
    report = assessed(rows).to_dict()
    mark = next(one["lead"] for one in report["occurrences"] if one["detail"] == "Ask Jane Roe")
    made = teaching_copy(report, passed_notes={mark: "Ask the <nurse> at 14:05"})
    details = [one["detail"] for one in made.report["occurrences"] if one["kind"] == "note"]

    assert details == ["Ask the <nurse> at 14:05", None]
    assert [(note.time, note.text) for note in made.notes] == [(5.0, "Ask the <nurse> at 14:05")]
    assert "Roe" not in dumps(made)
    assert any("looks like an identifier" in risk for risk in made.risks)
    with pytest.raises(BadSetting, match="no such mark"):
        teaching_copy(report, passed_notes={"log:999": "x"})


def test_an_amount_that_nobody_gives_is_left_out_with_its_figure():
    """A record number in the column of doses; the dose of another drug stays."""
    rows = [
        row(0, "recognition"),
        row(60, "drug", "amiodarone", amount=4_471_920.0, unit="mg", route="iv"),
        row(90, "shock", amount=200.0, unit="J"),
        row(200, "efforts_ended", "died"),
    ]
    report = assessed(rows, population="adult").to_dict()
    made = teaching_copy(report)
    figures = {figure["name"]: figure for figure in made.report["figures"]}

    assert "4471920" not in json.dumps(made.report)
    assert figures["antiarrhythmic_dose"]["value"] is None
    assert figures["antiarrhythmic_dose"]["because"]
    assert figures["first_shock_energy"]["value"] == 200.0


def test_a_site_says_nothing_of_itself(tmp_path):
    """Neither who set a limit, nor when, nor what it is called; the limit and its verdict stay."""
    site = tmp_path / "quillhaven.toml"
    site.write_text(
        'role = "Dr Ashgrove"\ndate = 2031-07-19\nconfirm = ["aha_2020.lidocaine_adult"]\n'
        '[limit.quillhaven_pause]\nfigures = ["longest_pause"]\nless_than = 7\nunit = "s"\n'
        'populations = ["adult"]\n'
    )
    report = assess([shipped("sample_events") / "vf_log_and_sheet"], draws=0, site=site).to_dict()
    made = teaching_copy(report)
    target = next(one for one in made.report["figures"] if one["name"] == "longest_pause")["target"]

    assert "quillhaven_pause" in json.dumps(report)
    assert "Ashgrove" in json.dumps(report)
    assert not re.search("quillhaven|Ashgrove|2031", dumps(made))
    assert (target["rule"], target["kind"], target["verdict"]) == ("less than 7 s", "site", "not_met")


@pytest.mark.parametrize(
    ("event", "age"),
    [
        ({"age_years": 89.9}, {"age_years": 89}),
        ({"age_years": 90}, {"age_group": "90 or older"}),
        ({"age_years": 0.5}, {}),
        ({"age_years": 1}, {"age_years": 1}),
        ({}, {}),
    ],
)
def test_ages_over_89_are_one_group(event, age):
    """45 CFR 164.514(b)(2)(i)(C): all ages over 89 aggregated as 90 or older."""
    made = teaching_copy(assessed([row(0, "recognition"), row(9, "rosc")], **event).to_dict()).report["event"]

    assert {key: made[key] for key in ("age_years", "age_group") if key in made} == age


@pytest.mark.parametrize(
    ("population", "given", "shown"),
    [("adult", 62.4, 60), ("adult", 62.5, 65), ("child", 22.6, 23), ("newborn_at_birth", 0.4, 1)],
)
def test_weights_are_rounded(population, given, shown):
    """To 5 kg, of children to 1 kg."""
    report = assessed(
        [row(0, "recognition"), row(9, "rosc")], population=population, weight_kg=given
    ).to_dict()

    assert teaching_copy(report).report["event"]["weight_kg"] == shown


def test_a_newborn_and_extracorporeal_support_are_said_to_be_rare():
    """And that together they are rarer; the ordinary event has the one risk that all have."""
    newborn = teaching_copy(assess([shipped("sample_events") / "newborn_at_birth"], draws=0).to_dict())
    support = teaching_copy(assess([shipped("sample_events") / "extracorporeal"], draws=0).to_dict())
    ordinary = teaching_copy(assess([shipped("sample_events") / "vf_log_and_sheet"], draws=0).to_dict())

    assert any("newborn" in risk for risk in newborn.risks)
    assert any("Extracorporeal" in risk for risk in support.risks)
    assert len(ordinary.risks) == 1
    assert "staff" in ordinary.risks[0]


def test_one_mark_makes_a_copy():
    """With a timeline of one mark."""
    made = teaching_copy(assessed([row(0, "shock", amount=150.0, unit="J")]).to_dict()).report

    assert [one["kind"] for one in made["occurrences"]] == ["shock"]
    assert lay_out(made).items


def test_four_hours_make_a_copy_and_are_rare():
    """Nothing but elapsed seconds, up to 14,400."""
    rows = [row(0, "recognition"), *(row(60.0 * n, "shock", amount=150.0, unit="J") for n in range(1, 12))]
    made = teaching_copy(assessed([*rows, row(14_400, "efforts_ended", "died")]).to_dict())

    assert made.report["end"]["time"] == 14_400.0
    assert {"more than 90 minutes", "Ten shocks"} <= {
        words for words in ("more than 90 minutes", "Ten shocks") if any(words in risk for risk in made.risks)
    }
    assert lay_out(made.report).items


def test_unusual_letters_go_nowhere_but_in_a_passed_note():
    """Right to left, beyond the first plane, combining, unseen: as names, and in notes."""
    odd = "\u202e\u05e8\u05d5\u05ea \U0001f469\u200d⚕\ufe0f Z\u0351\u036b\u0343 \u00ad田中\x00"
    rows = [row(0, "recognition"), row(5, "note", odd, place=odd), row(20, "rosc")]
    report = assessed(rows, local_reference=odd, unit=odd).to_dict()
    mark = next(one["lead"] for one in report["occurrences"] if one["kind"] == "note")

    assert odd not in dumps(teaching_copy(report))
    assert teaching_copy(report, passed_notes={mark: odd}).notes[0].text == odd


def test_what_stands_apart_is_copied_as_well():
    """A source that nothing places: its own report, and figures that come from it, name no file."""
    rows = [
        row(0, "recognition"),
        row(10, "compressions_start"),
        row(200, "rosc"),
        row(5, "call", source="sheet", note="Quillhaven"),
        row(9, "team_arrival", source="sheet"),
    ]
    report = assessed(rows, sources={"sheet": ("person", None)}, unit="Quillhaven").to_dict()
    made = teaching_copy(report)
    told = next(one for one in made.report["figures"] if one["name"] == "call_to_team_arrival")

    assert report["apart"]
    assert (told["value"], told["marks"]) == (4.0, ["sheet 1:1", "sheet 1:2"])
    assert "sheet 1 alone" in told["because"]
    assert [len(one["occurrences"]) for one in made.report["apart"]] == [2]
    assert not re.search(r"\.csv|Quillhaven|\blog\b", dumps(made))
