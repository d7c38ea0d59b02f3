"""The sheet, read back: one page, figures as the report has them, the same bytes, nothing obeyed or lost."""

import json
import re
import subprocess
import sys
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.picture.layout import lay_out
from debrief.picture.sentences import could_not_be_seen, sentences
from debrief.picture.svg import paint_for_paper
from debrief.reports import contents, typeset
from debrief.reports.sheet import PAPERS, sheet
from debrief.reports.spoken import Spoken, spoken
from debrief.resources import shipped
from debrief.talk.kept import Talk
from debrief.words import say, speaking
from tests.reports.paper import SAMPLES, about, flat, poppler, report_of, run, sample, text_of

HEADING = "time,mark,detail,amount,unit,route,length,note"
MORE = re.compile(r"and (\d+) more, on the page of the event")
SPOKEN = Spoken(
    points=(
        ("What went well?", ""),
        ("What decided when the first shock came?", "The first shock came 2:22."),
    ),
    notes=("Pads were late: the cart stood in room 4.",),
    actions=(("Pads out before the call", "charge nurse", "1 December"),),
)


def between(text, first, last):
    return text.split(f" {first} ", 1)[1].split(f" {last} ", 1)[0]


@pytest.fixture
def written(tmp_path):
    """Write marks and measure them."""

    def measured(*rows):
        path = tmp_path / "marks.csv"
        path.write_text("\n".join([HEADING, *rows]) + "\n", encoding="utf-8")
        return report_of(path)

    return measured


@poppler
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", SAMPLES)
def test_the_figures_of_every_sample_are_read_back_from_one_page(name, paper):
    """Those that fit stand whole, in their order, and the rest is counted to the last."""
    report = sample(name)
    pdf = sheet(report, paper, spoken=spoken(report, Talk()))
    text = text_of(pdf)
    found = between(text, say("sheet.figures"), say("sheet.problems"))
    rest = MORE.search(found)
    told = sorted(sentences(report), key=contents.rank)
    fitting = told[: len(told) - int(rest[1])] if rest else told

    assert about(pdf)["Pages"] == "1"
    assert ("A4" in about(pdf)["Page size"]) == (paper == "a4")
    judged = [one for one in told if one.verdict in ("met", "not_met", "uncertain")]
    assert len(fitting) >= (len(judged) if paper == "a4" else 10)
    at = 0
    for one in fitting:
        at = found.index(flat(one.text), at)
        if one.target:
            at = found.index(flat(one.target), at)
    for one in told[len(fitting) :]:
        assert flat(one.text) not in found


@poppler
@pytest.mark.parametrize("name", SAMPLES)
def test_the_sheet_says_what_was_not_seen_the_edition_the_versions_and_what_was_read(name):
    report = sample(name)
    text = text_of(sheet(report, invented=True))

    for part in could_not_be_seen(report):
        assert flat(part) in text
    assert flat(say("pages.caution")) in text
    assert say("pages.invented") in text
    assert f"Targets of {report['edition']}." in text
    assert f"{report['software']}, definitions {report['definitions']}." in text
    for entry in report["inputs"]:
        assert f"{entry['file']} {entry['sha256'][:12]}" in text
    if report["problems"]:
        worst = min(report["problems"], key=lambda one: ("blocking", "check", "note").index(one["severity"]))
        assert flat(worst["message"]) in text
    else:
        assert say("sheet.no_problems") in text


@poppler
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", SAMPLES)
def test_every_word_of_the_timeline_can_be_selected(name, paper, monkeypatch):
    report = sample(name)
    drawn = []

    def watched(said, svg, form):
        drawn.append(svg)
        return typeset.typeset(said, svg, form)

    monkeypatch.setattr("debrief.reports.sheet.typeset", watched)
    text = text_of(sheet(report, paper))
    labels = [
        flat("".join(node.itertext()))
        for node in ElementTree.fromstring(drawn[0]).iter("{http://www.w3.org/2000/svg}text")
    ]
    readable = [label for label in labels if not label.startswith(say("picture.lane.done"))]

    assert len(readable) > 20
    missing = [label for label in readable if label.strip() not in text]
    assert not missing


def test_every_item_and_label_of_the_layout_is_in_the_drawing_on_the_sheet():
    report = sample("rosc_and_rearrest")
    picture = lay_out(report, width=930)
    root = ElementTree.fromstring(paint_for_paper(picture))
    nodes = [node for node in root.iter() if "data-id" in node.attrib]
    items = {node.attrib["data-id"] for node in nodes if "data-label" not in node.attrib}
    labels = sorted(node.attrib["data-id"] for node in nodes if "data-label" in node.attrib)

    assert items == {item.id for item in picture.items}
    assert labels == sorted(label.id for label in picture.labels)


def test_the_same_event_gives_the_same_bytes_in_another_process():
    report = sample("vf_log_and_sheet")
    here = [sheet(report, spoken=SPOKEN), sheet(report, "letter"), sheet(report, spoken=SPOKEN)]
    code = (
        "import json, sys; from tests.reports.test_sheet import SPOKEN, sheet\n"
        "sys.stdout.buffer.write(sheet(json.load(sys.stdin), spoken=SPOKEN))"
    )
    given = json.dumps(report).encode()
    there = subprocess.run([sys.executable, "-c", code], input=given, capture_output=True, check=True)

    assert here[0] == here[2] == there.stdout
    assert here[0] != here[1]


@poppler
def test_no_date_of_making_is_in_it_and_it_can_be_read_aloud():
    pdf = sheet(sample("vf_log_and_sheet"))
    found = about(pdf)

    assert "CreationDate" not in found
    assert "ModDate" not in found
    assert found["Tagged"] == "yes"
    assert found["Title"] == "Alder ward · vf-log-and-sheet"
    fonts = [line.split() for line in run("pdffonts", pdf).splitlines()[2:]]
    assert {one[0].partition("+")[2] for one in fonts} == {
        "AtkinsonHyperlegibleNext-Bold",
        "AtkinsonHyperlegibleNext-Regular",
    }
    assert all(one[-5] == "yes" for one in fonts)  # embedded


def long_talk():
    return Spoken(
        points=tuple((f"Question {n}? " + "word " * 80, "figure " * 80) for n in range(30)),
        notes=tuple("note " * 500 for _ in range(9)),
        actions=tuple(("do " * 200, "role " * 90, "some day " * 90) for _ in range(40)),
    )


def four_hours():
    rows = ["14:00:00,recognition"]
    for at in range(0, 4 * 3600, 120):
        for after, mark in ((5, "compressions start"), (100, "compressions stop"), (110, "shock,,200,J")):
            hour, rest = divmod(at + after, 3600)
            rows.append(f"{14 + hour:02d}:{rest // 60:02d}:{rest % 60:02d},{mark}")
    return rows


def sixty_doses():
    drugs = ("epinephrine", "amiodarone", "atropine", "calcium chloride")
    doses = [f"14:{n // 2 + 1:02d}:{30 * (n % 2):02d},drug,{drugs[n % 4]},{n + 1},mg,IV" for n in range(60)]
    return ["14:00:00,recognition", "14:00:10,compressions start", *doses, "14:35:00,compressions stop"]


@poppler
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "rows",
    [
        ["14:03:20,recognition", "14:03:42,compressions start", "14:20:00,rosc"],
        ["14:03:42,compressions start", "14:05:10,drug,epinephrine,1,mg", "14:06:00,compressions stop"],
        four_hours(),
        sixty_doses(),
        [
            "14:03:20,recognition",
            *(f"14:{n:02d}:30,note,,,,,,{'a very long note ' * 90}" for n in range(4, 40)),
        ],
    ],
    ids=["three marks", "no time zero", "four hours", "sixty doses", "long notes"],
)
@pytest.mark.parametrize("talk", [Spoken(), SPOKEN, long_talk()], ids=["silent", "spoken", "talkative"])
def test_it_is_one_page_and_whole_whatever_was_recorded_and_said(written, rows, talk, paper):
    """The foot is what an overflow would push off the page."""
    pdf = sheet(written(*rows), paper, spoken=talk, confidentiality="For the committee. " * 60, invented=True)
    text = text_of(pdf)

    assert about(pdf)["Pages"] == "1"
    assert flat(say("pages.caution")) in text
    assert "For the committee." in text
    assert re.search(r"Read from marks\.csv [0-9a-f]{12}", text)
    assert say("sheet.actions") in text


@poppler
def test_nothing_at_all_is_one_page_too():
    report = sample("vf_log_and_sheet")
    lists = ("hands_on", "covered", "pauses", "by_minute", "shocks", "doses", "occurrences", "episodes")
    nothing = report | {key: [] for key in (*lists, "figures", "problems", "inputs", "sources")}

    assert about(sheet(nothing | {"first_rhythm": None}))["Pages"] == "1"


@poppler
def test_what_was_said_and_agreed_stands_on_it_and_what_has_no_room_is_counted():
    report = sample("vf_log_and_sheet")
    text = text_of(sheet(report, spoken=SPOKEN))

    for question, told in SPOKEN.points:
        assert f"{question} {told}".strip() in text
    assert SPOKEN.notes[0] in text
    assert "Pads out before the call charge nurse 1 December" in text
    talk = text_of(sheet(report, spoken=long_talk())).split(f" {say('sheet.talk')} ")[1]
    assert len(MORE.findall(talk)) >= 3


@poppler
def test_what_a_user_wrote_is_printed_and_never_obeyed(written):
    hostile = '#import "@preview/x:1.0.0": * $x^2$ @label *bold* _it_ `raw` <b> \\u{41} #sys.inputs // end'
    report = written("14:03:20,recognition", "14:03:42,compressions start", "14:09:00,compressions stop")
    report["event"] |= {"unit": hostile[:50], "event_id": "#panic()"}
    report["occurrences"][0] |= {"kind": "note", "detail": "#panic() <b>&$"}
    pdf = sheet(report, spoken=Spoken(((hostile, hostile),), (hostile,), ((hostile, "#x", "$y$"),)))
    text = text_of(pdf)

    assert text.count(hostile) == 4
    assert hostile[:50] in text
    assert "#panic() <b>&$" in text


@poppler
@pytest.mark.parametrize(
    "note",
    ["Адреналин в 14:05", "Αδρεναλίνη 1 mg", "Žluťoučký kůň, smørrebrød, ğüşı", "é ñ ß Œ “quotes”"],
)
def test_letters_of_europe_are_printed_in_typefaces_that_come_along(note, monkeypatch):
    monkeypatch.setattr(typeset, "_compiler", only_own(typeset._compiler))
    assert note in text_of(sheet(sample("child_by_weight"), spoken=Spoken(notes=(note,))))


def only_own(compiler):
    """A machine that has no typeface of its own."""
    return lambda machine: compiler(False)


@poppler
@pytest.mark.parametrize("note", ["הנשמה בדקה השלישית", "مرحبا بالعالم"])
def test_words_from_right_to_left_are_printed_in_typefaces_that_come_along(note, monkeypatch):
    """Poppler gives the words of such a line in the order of reading, between marks of direction."""
    monkeypatch.setattr(typeset, "_compiler", only_own(typeset._compiler))
    text = text_of(sheet(sample("child_by_weight"), spoken=Spoken(notes=(note,))))

    for word in note.split():
        assert word in text
    assert "[U+" not in text


@poppler
def test_a_letter_that_no_typeface_has_stands_as_its_code_and_the_sheet_says_so(written, monkeypatch):
    """In the text and in the timeline alike: nothing is dropped in silence."""
    monkeypatch.setattr(typeset, "_compiler", only_own(typeset._compiler))
    report = written("14:03:20,recognition", "14:03:42,compressions start", "14:09:00,compressions stop")
    report["occurrences"][0] |= {"kind": "note", "detail": "除颤"}
    text = text_of(sheet(report, spoken=Spoken(notes=("除 \ue0b7 😀", "turned \u202eback", "\x07 \ud800"))))

    for code in ("9664", "98A4", "E0B7", "1F600", "202E", "0007", "D800"):
        assert f"[U+{code}]" in text
    assert "What no typeface here can show stands as its code, such as [U+" in text
    assert "stands as its code" not in text_of(sheet(sample("child_by_weight")))


@given(st.text(max_size=200), st.text(max_size=200))
@settings(max_examples=25)
def test_any_text_makes_a_page(first, second):
    report = sample("newborn_at_birth")
    report["event"]["unit"] = first
    assert (
        sheet(report, spoken=Spoken(((first, second),), (second,), ((second, first, second),)))[:5]
        == b"%PDF-"
    )


@poppler
def test_a_talk_that_was_kept_gives_its_points_notes_and_actions():
    report = sample("vf_log_and_sheet")
    found = spoken(report, Talk())

    text = text_of(sheet(report, spoken=found))
    assert all(flat(part) in text for point in found.points for part in point)


@poppler
def test_the_sheet_speaks_the_language_spoken():
    with speaking("german"):
        report = report_of(shipped("sample_events") / "vf_log_and_sheet")
        pdf = sheet(report)
        told = sentences(report)[0]
    assert flat(told.text) in text_of(pdf)
    assert b"/Lang(de)" in pdf.replace(b" ", b"")


def test_a_picture_of_it_for_the_screen_has_the_shape_of_the_paper():
    pictures = {paper: sheet(sample("child_by_weight"), paper, form="png") for paper in PAPERS}
    for paper, png in pictures.items():
        width, height = (int.from_bytes(png[at : at + 4]) for at in (16, 20))
        size = PAPERS[paper]
        assert png[:4] == b"\x89PNG"
        assert width / height == pytest.approx(size.width / size.height, rel=0.002)
