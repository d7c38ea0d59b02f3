"""Every operation on spans against plain sets of steps, ten steps to a slot."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from debrief.model import axis, spans
from debrief.model.axis import SLOT_US

STEP_US = SLOT_US // 10
SLOTS = 4
STEPS = range(SLOTS * 10)

pairs = st.lists(st.tuples(st.integers(0, SLOTS * 10), st.integers(0, SLOTS * 10)), max_size=12)
sets = st.frozensets(st.sampled_from(STEPS), max_size=30)
positions = st.lists(st.integers(0, SLOTS * 10), max_size=12)


def us(steps):
    """Return steps as positions on the axis."""
    return np.array(steps, np.int64).reshape(-1) * STEP_US


def made(chosen):
    """Return a set of steps as spans."""
    return spans.spans((step * STEP_US, (step + 1) * STEP_US) for step in chosen)


def steps(a):
    """Return spans as a set of steps, after checking that they are sorted, apart and none empty."""
    assert (a.end > a.start).all()
    assert (a.start[1:] > a.end[:-1]).all()
    assert not (a.start % STEP_US).any()
    assert not (a.end % STEP_US).any()
    return covered(a)


def covered(a):
    """Return spans as a set of steps."""
    ends = zip(a.start // STEP_US, a.end // STEP_US, strict=True)
    return {step for start, end in ends for step in range(start, end)}


@given(pairs)
def test_spans_in_any_order_become_one_sorted_set(chosen):
    """Overlapping, touching, empty and backward pairs are merged or left out."""
    made = spans.spans((start * STEP_US, end * STEP_US) for start, end in chosen)

    assert steps(made) == {step for start, end in chosen for step in range(start, end)}


@given(sets, st.integers(0, 12))
def test_merge_closes_gaps_up_to_its_limit_inside_a_slot_alone(chosen, gap):
    """A gap is closed when it is no longer than the limit and both its ends lie in one slot."""
    a = made(chosen)
    expected = set(chosen)
    for before, after in zip(sorted(chosen), sorted(chosen)[1:], strict=False):
        if gap and after - before - 1 <= gap and (before + 1) // 10 == after // 10:
            expected |= set(range(before, after))

    assert steps(spans.merge(a.start, a.end, gap * STEP_US)) == expected


@given(sets, sets)
def test_union_intersect_and_subtract_are_those_of_sets(a, b):
    """The three operations on spans are the three operations on sets of steps."""
    assert steps(spans.union(made(a), made(b))) == a | b
    assert steps(spans.intersect(made(a), made(b))) == a & b
    assert steps(spans.subtract(made(a), made(b))) == a - b


@given(sets, sets)
def test_each_piece_of_an_intersection_names_the_stretch_it_came_from(a, b):
    """The index given with a piece is that of the stretch of the first set that holds it."""
    first = made(a)

    pieces, origin = spans.intersect_keeping(first, made(b))

    assert steps(pieces) == a & b
    assert (first.start[origin] <= pieces.start).all()
    assert (pieces.end <= first.end[origin]).all()


@given(st.lists(st.tuples(st.integers(0, SLOTS - 1), st.integers(0, 9), st.integers(1, 10)), max_size=12))
def test_totals_count_each_slot_by_itself(chosen):
    """The total of a slot is the number of its own steps."""
    inside = {slot * 10 + step for slot, start, end in chosen for step in range(start, end)}

    expected = [sum(step // 10 == slot for step in inside) * STEP_US for slot in range(SLOTS)]

    assert spans.totals(made(inside), SLOTS).tolist() == expected


@given(sets, positions)
def test_the_amount_before_a_position_counts_the_steps_before_it(a, at):
    """A position inside a stretch counts what lies before it."""
    expected = [sum(step < position for step in a) * STEP_US for position in at]

    assert spans.amount_before(made(a), us(at)).tolist() == expected


@given(sets, pairs)
def test_the_amount_within_a_stretch_counts_the_steps_of_both(a, within):
    """Stretches asked about may overlap one another."""
    within = [(start, end) for start, end in within if start <= end]
    expected = [len(a & set(range(start, end))) * STEP_US for start, end in within]

    found = spans.amount_within(made(a), us([start for start, _ in within]), us([end for _, end in within]))

    assert found.tolist() == expected


@given(sets, positions)
def test_holding_and_touching_name_the_stretch_at_a_position(a, at):
    """`holding` leaves the end of a stretch out, `touching` takes it in."""
    whole = made(a)
    stretches = list(zip(whole.start // STEP_US, whole.end // STEP_US, strict=True))

    def index(position, reach):
        found = [n for n, (start, end) in enumerate(stretches) if start <= position < end + reach]
        return found[-1] if found else -1

    assert spans.holding(whole, us(at)).tolist() == [index(position, 0) for position in at]
    assert spans.touching(whole, us(at)).tolist() == [index(position, 1) for position in at]


@given(st.integers(0, SLOTS - 1))
def test_the_middle_of_a_slot_is_its_time_zero(slot):
    """Half the slot lies before it."""
    assert axis.middle(us([slot * 10])[:1] // SLOT_US).tolist() == [(slot * 10 + 5) * STEP_US]
