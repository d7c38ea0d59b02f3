"""The guide: an entry for every figure, made from the records that the code uses; pages of help."""

import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from debrief import guide, targets, words
from debrief.assess import Asked, assess_event
from debrief.errors import BadSetting
from debrief.guide.text import contents_text, entry_text, page_text
from debrief.importers import Settings, read_event
from debrief.importers.opening import IMPORTERS
from debrief.measures import MEASURES, Why
from debrief.resources import shipped
from tests.strategies import events, write

NAMES = guide.figures()
SINGLE = {"pre_shock_pause", "post_shock_pause", "peri_shock_pause", "epinephrine_interval"}
GRADES = re.compile(
    r"\b(good|bad|poor|excellent|fail|failed|pass|passed|score|error of|fault|blame|best practice)\b", re.I
)


def test_every_figure_has_an_entry_and_nothing_else_has():
    """Those of the measures, completeness, and those of a single shock or gap."""
    assert len(NAMES) == len(set(NAMES))
    assert set(NAMES) == {measure.name for measure in MEASURES} | {"completeness"} | SINGLE
    assert set(guide._texts()) == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_an_entry_says_what_how_and_in_what_unit(name):
    entry = guide.figure_entry(name)
    assert entry.title
    assert entry.unit
    for sentence in (entry.definition, entry.formula, *entry.variants, *entry.missing):
        assert sentence[-1] in ".)"


@pytest.mark.parametrize("name", NAMES)
def test_an_entry_tells_every_target_that_speaks_of_the_figure(name):
    """With its source, and the editions that hold it."""
    held = {}
    for edition in targets.editions():
        for row in targets.load(edition).targets:
            if row.speaks_of(name):
                held.setdefault(row.id, (row, []))[1].append(edition)
    told = {asked.id: asked for asked in guide.figure_entry(name).asked}
    assert told.keys() == held.keys()
    for row, editions in held.values():
        assert told[row.id].editions == tuple(editions)
        assert row.citation in told[row.id].source
        assert row.rule[1:] in told[row.id].line
        assert ("; judges." in told[row.id].line) == row.judges(name)


def test_one_edition_can_be_asked_for():
    entry = guide.figure_entry("first_shock_energy", ["ERC 2021"])
    assert {asked.id.partition(".")[0] for asked in entry.asked} == {"erc_2021"}


def test_what_the_guide_does_not_know_is_answered_with_what_is_near():
    with pytest.raises(BadSetting, match=r"'compresion_rate'.*compression_rate"):
        guide.figure_entry("compresion_rate")


@pytest.mark.parametrize("name", NAMES)
def test_every_reason_that_is_listed_exists(name):
    assert set(guide._text(name).get("missing", ())) <= {why.name.lower() for why in Why}


def unlisted(assessment):
    """Return the reasons for missing figures that the guide does not list."""
    found = []
    for name, answer in assessment.answers.items():
        why = Why(int(answer.why[0]))
        if why not in (Why.KNOWN, Why.NEWBORN) and why.name.lower() not in guide._text(name)["missing"]:
            found.append((name, why.name.lower()))
    return found


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(events())
def test_a_figure_is_never_missing_for_a_reason_that_the_guide_does_not_list(marks):
    with tempfile.TemporaryDirectory() as folder:
        event = read_event([write(marks, Path(folder) / "made")], Settings())
        assert unlisted(assess_event(event, Asked(draws=0))) == []


@pytest.mark.parametrize("path", sorted(shipped("sample_events").iterdir()), ids=lambda path: path.stem)
def test_nor_is_one_of_the_invented_events(path):
    assert unlisted(assess_event(read_event([path], Settings()), Asked(draws=0))) == []


def test_a_newborn_is_named_where_figures_are_off_for_one():
    newborn = words.say("because.newborn")
    for measure in MEASURES:
        assert (newborn in guide.figure_entry(measure.name).missing) == measure.hands


def texts():
    """Return every text of the guide by where it stands."""
    yield from ((page.slug, text) for page in guide.pages() for block in page.blocks for text in block.texts)
    for name in NAMES:
        entry = guide.figure_entry(name)
        yield from ((name, text) for text in (entry.formula, *entry.variants))


def test_the_guide_grades_nobody_and_names_no_program_or_maker():
    """Words of grading; and other than ours no name of a thing that is sold."""
    for place, text in texts():
        assert not GRADES.search(text), (place, text)
        assert not re.search(r"[®™]", text), place


def test_pages_have_a_title_and_no_blank_left_open():
    for page in guide.pages():
        assert page.title
        assert not page.title.startswith("#")
        assert page.blocks
    assert not any("{" in text or "#" in text for _, text in texts())


def test_numbers_on_pages_are_those_of_the_code():
    certainty = next(page for page in guide.pages() if page.slug == "certainty")
    text = " ".join(text for block in certainty.blocks for text in block.texts)
    assert "0 to 60 s" in text
    assert "500 times" in text
    assert "2.5 and 97.5 percentiles" in text
    assert "Under 80 %" in text


def test_lists_and_paragraphs_are_told_apart():
    """The first page holds both; lines of one paragraph are one text."""
    page = guide._page("x", "# Title\n\nOne\nparagraph.\n\n## Heading\n\n- first\n  goes on\n- second\n")
    assert page.title == "Title"
    assert [(block.kind, block.texts) for block in page.blocks] == [
        ("paragraph", ("One paragraph.",)),
        ("heading", ("Heading",)),
        ("list", ("first goes on", "second")),
    ]


@pytest.mark.parametrize("importer", IMPORTERS, ids=lambda importer: importer.name)
def test_every_kind_of_file_is_on_the_page_of_files(importer):
    """A list entry that begins with the importer's name: add one in guide/english/files.md."""
    page = next(page for page in guide.pages() if page.slug == "files")
    named = {text.split(":")[0].strip("`") for block in page.blocks for text in block.texts}
    assert importer.name in named


def test_plain_text_stays_within_its_width():
    told = [
        contents_text(60),
        *(page_text(page, 60) for page in guide.pages()),
        *(entry_text(guide.figure_entry(name), 60) for name in NAMES),
    ]
    for text in told:
        assert all(len(line) <= 60 or len(line.split()) == 1 for line in text.splitlines())
    assert all(name in told[0] for name in (*NAMES, *guide.PAGES))
