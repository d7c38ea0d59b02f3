"""What in a note looks like an identifier, and what does not."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.teaching.identifiers import likely_identifiers, split_identifiers
from debrief.teaching.tally import ITEMS
from debrief.words import sentences
from tests.teaching.identified import IDENTIFIERS

# Characteristics that no form of writing gives away; a reviewer has to see them.
UNSEEN = {"study 0x5F3A99", "tattoo of a heron"}


def kinds(text):
    return [(one.text, one.item) for one in likely_identifiers(text)]


@pytest.mark.parametrize(
    ("item", "text"), [(item, text) for item, found in IDENTIFIERS.items() for text in found]
)
def test_an_identifier_in_a_sentence_is_pointed_out(item, text):
    """Whatever it is taken for; what no form gives away is listed above, so that nobody relies on it."""
    found = likely_identifiers(f"then {text} was seen")

    assert bool(found) == (text not in UNSEEN)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("asked Jane Roe to come", [("Jane Roe", "A")]),
        ("came from Springfield by car", [("Springfield", "B")]),
        ("moved to bed 12", [("bed 12", "B")]),
        ("plate AB31 QZX", [("AB31 QZX", "L")]),
        ("lives at QH7 4ZB", [("QH7 4ZB", "B")]),
        ("born 07/19/1937", [("07/19/1937", "C")]),
        ("on 19 July 2031 at 14:03:27", [("19 July 2031", "C"), ("14:03:27", "C")]),
        ("at 1403 hrs", [("1403 hrs", "C")]),
        ("a 94-year-old", [("94-year-old", "C")]),
        ("phone 555-0142", [("555-0142", "D")]),
        ("fax 555-0177", [("555-0177", "E")]),
        ("roe@ward.example", [("roe@ward.example", "F")]),
        ("078-05-1120", [("078-05-1120", "G")]),
        ("MRN: 88314077", [("88314077", "H")]),
        ("insurance no. 77120934", [("77120934", "I")]),
        ("account 30519284", [("30519284", "J")]),
        ("licence 7654321", [("7654321", "K")]),
        ("serial SN-88412-X", [("SN-88412-X", "M")]),
        ("see https://roster.example/p/4711", [("https://roster.example/p/4711", "N")]),
        ("from 192.0.2.44", [("192.0.2.44", "O")]),
        ("voice recording kept", [("voice recording", "P")]),
        ("face.jpg", [("face.jpg", "Q")]),
        ("QX77194", [("QX77194", "R")]),
    ],
)
def test_each_item_is_told_apart(text, found):
    """Under the item that it would fall under."""
    assert kinds(text) == found


@pytest.mark.parametrize(
    "text",
    [
        "epinephrine 1 mg at once, ROSC in VF after 150 J, rate 110",
        "10 mL of 0.1 mg/mL over 3.5 min, ETCO2 12 mmHg, SpO2 94 %",
        "Two breaths every 30 compressions. Compressor changed at every check.",
        "pads on, no pulse, pause of 12 s for the tube",
        "87 year old, 64 kg",
    ],
)
def test_what_a_team_writes_of_a_code_is_left_alone(text):
    """Numbers with units, words of the trade, ages up to 89."""
    assert kinds(text) == []


def test_other_widths_scripts_and_what_cannot_be_seen_hide_nothing():
    """Full-width letters, Arabic digits, a soft hyphen and a zero-width space in the middle."""
    text = "\uff2d\uff32\uff2e\u00ad 88\u200b31\uff14\uff10\uff17\uff17, \u0661\u0664:\u0660\u0663"
    found = likely_identifiers(text)

    assert [one.item for one in found] == ["H", "C"]
    assert all(text[one.start : one.end] == one.text for one in found)


def test_an_identifier_split_over_two_notes_is_pointed_out():
    """Neither half is one; and what is whole in one note is not told again."""
    assert split_identifiers(["rang 555", "0142 again"])
    assert [
        (at, one.text) for at, one in split_identifiers(["fine", "we asked Jane", "Roe"]) if one.why == "name"
    ][-1] == (1, "Jane Roe")
    assert split_identifiers(["phone 555-0142.", "Pads on."]) == []
    assert split_identifiers(["one note"]) == []


@given(st.text(max_size=80))
def test_any_text_is_read(text):
    """In order, without overlaps, each a piece of the text, of a known item, with words for it."""
    found = likely_identifiers(text)

    assert all(text[one.start : one.end] == one.text and one.text for one in found)
    assert all(first.end <= second.start for first, second in pairwise(found))
    assert {one.item for one in found} <= set(ITEMS)
    assert all(f"teaching.looks_like_{one.why}" in sentences() for one in found)
