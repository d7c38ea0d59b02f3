"""Names and numbers in notes: pointed out where they look like it; the trade's own words are not."""

import pytest

from debrief import words
from debrief.talk.names import likely_names


def found(text):
    return [one.text for one in likely_names(text)]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("The airway was done by Smithers after two tries", ["Smithers"]),
        ("we thought Maria O'Hara would call", ["Maria O'Hara"]),
        ("Dr Okafor led", ["Okafor"]),
        ("dr. Okafor led", ["Okafor"]),
        ("asked Nurse Jones, then Ahmed", ["Jones", "Ahmed"]),
        ("José called, then Zoë came", ["Zoë"]),
        ("asked Smithers's opinion", ["Smithers's"]),
    ],
)
def test_what_looks_like_a_name_is_pointed_out(text, names):
    assert found(text) == names


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Clear roles. Everyone knew the next step.",
        "Gave Epinephrine and Amiodarone on time; ETCO2 was 22.",
        "VF, then PEA. ROSC at 14:03:22.",
        "- Airway took long\n- Bag ready? No",
        "the Team Leader and the Anaesthetist",
        "On Monday I asked for a new battery",
        "the ICU nurse wrote at 14:03",
        "nurse and doctor agreed",
        "第二次电击很快",
        "كان الفريق هادئا",
        "dose 300 mg, 12 J/kg, 3-5 min",
    ],
)
def test_what_names_nobody_is_not(text):
    assert found(text) == []


@pytest.mark.parametrize(
    "text",
    ["call 0043 660 1234567", "MRN 12345678", "on +44 (0)20 7946 0018", "AB 123456", "a.b@example.org"],
)
def test_numbers_and_addresses_that_name_somebody_are_pointed_out(text):
    assert [one.why for one in likely_names(text)] == ["number"]


def test_a_role_is_no_sentence_so_that_its_first_word_can_be_a_name():
    assert found("Smithers") == []
    assert [one.text for one in likely_names("Smithers\nward nurse\nAnaesthetist", sentences=False)] == [
        "Smithers"
    ]


def test_where_it_stands_is_told():
    text = "led by Dr Okafor."
    (one,) = likely_names(text)

    assert text[one.start : one.end] == "Okafor"


def test_in_german_only_titles_make_a_name_since_every_noun_has_a_capital():
    with words.speaking("german"):
        assert found("Der Atemweg war gut, die Pumpe nicht") == []
        assert found("Frau Huber und Oberarzt Maier kamen") == ["Huber", "Maier"]


@pytest.mark.parametrize(
    "text", ["1 " * 20_000 + "a", "早" * 40_000, "a" * 40_000 + "@", "Aa " * 13_000, "a." * 20_000]
)
@pytest.mark.timeout(5)
def test_no_text_takes_long(text):
    likely_names(text)


def test_a_very_long_note_is_read_quickly_and_not_all_of_it_is_pointed_out():
    assert len(likely_names("then Smithers spoke. " * 2_000)) == 8
