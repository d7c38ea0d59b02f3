from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from debrief.picture.labels import Levels, label_width, text_width

stretch = st.tuples(st.floats(0, 900), st.floats(5, 200))


@given(st.lists(stretch, max_size=40))
def test_what_was_taken_never_overlaps(wanted):
    """Whatever is asked for, stretches of one row keep their distance and stay inside."""
    levels = Levels(3, 0.0, 1000.0, gap=7.0)
    for x0, wide in wanted:
        for row in range(3):
            if levels.free(row, x0, x0 + wide, x0):
                levels.take(row, x0, x0 + wide, x0)
                break
    for taken in levels.taken:
        spans = sorted(taken)
        assert all(a[1] + 7.0 <= b[0] for a, b in pairwise(spans))
        assert all(0 <= x0 and x1 <= 1000 for x0, x1, _ in spans)


@given(st.lists(stretch, max_size=40))
def test_no_hairline_crosses_words_of_a_row_below(wanted):
    levels = Levels(4, 0.0, 1000.0)
    for x0, wide in wanted:
        row = next((row for row in range(4) if levels.free(row, x0, x0 + wide, x0)), None)
        if row is not None:
            levels.take(row, x0, x0 + wide, x0)
    for row, taken in enumerate(levels.taken):
        for x0, x1, stem in taken:
            crossing = [x for x, above in levels.hairlines if above < row and x0 < x < x1]
            assert all(abs(x - stem) < 5 for x in crossing)


def test_a_text_is_as_wide_as_its_letters():
    """Advances in thousandths of the size, read from the shipped type in a browser."""
    assert text_width("H", 10) == 6.94
    assert text_width("HH", 10) == 2 * text_width("H", 10)
    assert label_width("ROSC", "21:50", 13) > text_width("ROSC", 13) + text_width("21:50", 13)
