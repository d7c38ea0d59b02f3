"""The teaching file: its size, its bytes, and that nothing of the event but elapsed time is in it."""

import base64
import re

import pytest

from debrief.assess import Asked, assess
from debrief.importers import Settings, find_events
from debrief.reports.case import case_file
from debrief.reports.cases import copy_of, index_page, picture
from debrief.resources import shipped
from debrief.teaching.case import Case, handed_on
from debrief.teaching.questions import suggested
from tests.made import assessed, row
from tests.teaching.identified import ALL, readings, write

SAMPLES = [one.paths[0] for one in find_events(shipped("sample_events"), Settings())]


def made(path, **more):
    copy, invented = copy_of([path], Settings(), Asked(draws=0))
    return Case(copy.report, questions=tuple(suggested(copy.report)), invented=invented, **more)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_a_case_is_small_the_same_twice_and_holds_no_unit_date_file_or_clock_time(path):
    case = made(path)
    page = case_file(case)
    report = assess([path]).to_dict()
    texts = [page, *(base64.b64decode(one) for one in re.findall(rb"base64,([A-Za-z0-9+/=]+)", page))]

    assert page == case_file(made(path))
    assert len(page) < 1_000_000
    unit, day = report["event"].get("unit"), report["event"].get("date")
    names = [source["file"] for source in report["sources"]]
    for secret in filter(None, [unit, day, *names, report["time_zero"]["wall"]]):
        assert all(str(secret).encode() not in text for text in texts)
    assert not re.search(rb"\b[012]\d:[0-5]\d:[0-5]\d\b", page)


@pytest.mark.parametrize(
    "rows",
    [
        [row(0, "recognition")],
        [row(0, "recognition"), row(10, "compressions_start"), row(4 * 3600, "compressions_stop")],
    ],
    ids=["one mark", "four hours"],
)
def test_an_event_of_any_length_makes_a_case(rows):
    report = assessed(rows).to_dict()
    page = case_file(Case(report, questions=tuple(suggested(report))))

    assert 90_000 < len(page) < 1_000_000


def test_what_an_educator_types_is_never_markup():
    report = made(SAMPLES[0]).report
    page = case_file(Case(report, title="</script><script>alert(1)</script>", goals=("<img src=x>",)))

    assert b"<script>alert" not in page
    assert b"<img" not in page
    assert b"<img" not in index_page([("a.html", Case(report, goals=("<img src=x>",)))])


def test_a_slide_is_a_drawing_or_a_picture_of_it():
    report = made(SAMPLES[-1]).report

    assert picture(report, "svg").startswith(b"<svg")
    assert picture(report, "png").startswith(b"\x89PNG")


def test_no_identifier_is_in_any_byte_that_is_handed_on(tmp_path):
    """Of sixty, in the file, the exchange file, the index and the slide; also decoded and inflated."""
    case = made(write(tmp_path))
    fonts = re.compile(r"base64,[A-Za-z0-9+/=]+")  # as they ship
    given = {
        "file": fonts.sub("", case_file(case).decode()),
        "exchange": handed_on(case).decode(),
        "index": index_page([("case-1.html", case)]).decode(),
        "slide": picture(case.report, "svg").decode(),
    }
    for name, text in given.items():
        found = [each.casefold() for each in readings(text)]
        held = [
            one
            for one in [*ALL, "Quillfeather", "88412", "63.7"]
            if any(one.casefold() in each for each in found)
        ]
        assert held == [], name
        assert not re.search(r"2031|1937|(?<![\d:.])1[34]:\d\d(?!\d)", text), name
