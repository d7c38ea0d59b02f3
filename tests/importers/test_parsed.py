"""Columns of written times parsed at once say what each text says by itself."""

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from debrief.importers.parsed import parse_all
from debrief.importers.written import parse
from debrief.model.columns import MISSING, repeated

DIGITS = st.text("0123456789", min_size=1, max_size=3)
CLOCK = st.builds(
    lambda h, m, s, f: f"{h}:{m}:{s}" + (f".{f}" if f else ""),
    *[st.integers(0, 99).map(lambda n: f"{n:02}") for _ in range(3)],
    st.none() | st.text("0123456789", max_size=11),
)
DATE = st.builds(
    "{}-{:02}-{:02}{}".format,
    st.integers(1990, 2030),
    st.integers(0, 13),
    st.integers(0, 32),
    st.sampled_from(" T"),
)
TEXT = st.one_of(
    CLOCK,
    st.builds("{}{}".format, DATE, CLOCK),
    st.text("0123456789:.- T+Zz\u0660", max_size=24),
    st.builds("{}.{}".format, DIGITS, DIGITS),
    st.text(max_size=24),
)


def told(texts):
    """Return what the column says of each text, in the form of one text by itself."""
    found = parse_all(repeated(texts))
    rows = []
    for row in range(len(texts)):
        if not found.known[row]:
            rows.append(None)
            continue
        names = ("clock", "clock_cell", "elapsed", "elapsed_cell", "decimals", "offset")
        numbers = [int(getattr(found, name)[row]) for name in names]
        rows.append(
            (
                *(None if number == MISSING else number for number in numbers),
                found.day[row],
                bool(found.plain[row]),
                bool(found.sure[row]),
            )
        )
    return rows


def by_itself(text):
    one = parse(text) if text else None
    if one is None:
        return None
    offset = None if one.offset is None else int(one.offset.total_seconds() * 1e6)
    return (
        one.clock,
        one.clock_cell,
        one.elapsed,
        one.elapsed_cell,
        one.decimals,
        offset,
        one.day,
        one.plain,
        one.sure,
    )


@given(st.lists(TEXT, max_size=8))
@example(
    [
        "14:03:22",
        "2026-03-04 14:03:22.5",
        "2026-02-30 14:03:22",
        "14:03:22.",
        "24:00:00",
        "14:03:22.1234567891",
    ]
)
@example(["1\uff14:03:22", "14:03:22Z", "2026-03-04T14:03:22+01:00", ""])
def test_a_column_says_what_each_text_says(texts):
    assert told(texts) == [by_itself(text) for text in texts]


def test_rows_that_hold_the_same_text_are_parsed_once_and_all_told():
    found = parse_all(repeated(["14:03:22", "x", "14:03:22"]))

    assert found.known.tolist() == [True, False, True]
    assert np.unique(found.clock[found.known]).tolist() == [50_602_000_000]


def test_a_count_beyond_all_numbers_is_no_time():
    found = parse_all(repeated(["9" * 40, "9" * 5000]))

    assert found.known.tolist() == [True, False]
    assert found.elapsed.tolist() == [MISSING, MISSING]
