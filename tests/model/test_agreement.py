"""Two entries of one event: pairs, what one alone has, the share that agrees, kappa."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.model.agreement import FARTHEST_S, Entered, compare, kappa

kinds = st.sampled_from(["shock", "drug", "rhythm"])
marks = st.lists(st.builds(Entered, kinds, st.integers(0, 1200).map(float)), max_size=12)


def test_pairs_are_of_one_kind_in_order_and_as_many_as_can_be():
    first = [Entered("shock", 0.0), Entered("shock", 120.0), Entered("drug", 60.0), Entered("rosc", 900.0)]
    second = [Entered("shock", 130.0), Entered("drug", 60.0, "epinephrine"), Entered("call", 5.0)]
    found = compare(first, second)

    assert [(one.time_s, other.time_s) for one, other in found.pairs] == [(60.0, 60.0), (120.0, 130.0)]
    assert [one.time_s for one in found.only_first] == [0.0, 900.0]
    assert [one.kind for one in found.only_second] == ["call"]
    assert found.share == 4 / 7
    assert (found.within(0), found.within(10)) == (1, 2)
    assert found.median_apart_s == 5.0
    assert len(found.differing()) == 2


def test_marks_too_far_apart_are_two_marks():
    near, far = Entered("shock", FARTHEST_S), Entered("shock", FARTHEST_S + 1)

    assert len(compare([Entered("shock", 0.0)], [near]).pairs) == 1
    assert compare([Entered("shock", 0.0)], [far]).pairs == []


@given(marks)
def test_who_enters_the_same_agrees_in_all_of_it(first):
    found = compare(first, first[::-1])

    assert found.share == (1.0 if first else None)
    assert found.within(0) == len(first)
    assert found.differing() == []


@given(marks, marks)
def test_every_mark_stands_in_one_place_and_the_two_can_change_sides(first, second):
    found, turned = compare(first, second), compare(second, first)

    assert len(found.pairs) + len(found.only_first) == len(first)
    assert len(found.pairs) + len(found.only_second) == len(second)
    assert len(turned.pairs) == len(found.pairs)
    assert turned.share == found.share
    assert all(one.kind == other.kind for one, other in found.pairs)


@given(st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from("abc")), min_size=1, max_size=40))
def test_kappa_is_the_one_of_statsmodels(pairs):
    """Outside check: statsmodels.stats.inter_rater.cohens_kappa, an implementation of its own."""
    np = pytest.importorskip("numpy")
    rater = pytest.importorskip("statsmodels.stats.inter_rater")
    table = np.zeros((3, 3))
    for one, other in pairs:
        table["abc".index(one), "abc".index(other)] += 1
    ours = kappa(pairs)
    if ours is None:
        assert len({name for pair in pairs for name in pair}) == 1
        return

    assert ours == pytest.approx(rater.cohens_kappa(table, return_results=False))


def test_kappa_of_a_table_worked_by_hand():
    """20, 5, 10 and 15 of 50: 0.7 agree, chance gives 0.5 (a usual example of teaching, from memory)."""
    pairs = [("yes", "yes")] * 20 + [("yes", "no")] * 5 + [("no", "yes")] * 10 + [("no", "no")] * 15

    assert kappa(pairs) == pytest.approx(0.4)
    assert kappa([]) is None
