"""Draws: within the cell, in order, seeded by what matters, a device's hands-on shifted whole."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.draws import draw
from debrief.clocks.evidence import LAG_US
from debrief.model.times import to_us
from tests.made import compressions, occurrences, row


def test_a_device_mark_is_drawn_within_the_second_that_its_clock_showed():
    occ = occurrences([row(100, "shock", cell_s=1)])
    times = draw(occ, 4000).of_marks(np.array([0]))[:, 0] - to_us(100)

    assert times.min() >= 0
    assert times.max() <= 1_000_000
    assert abs(times.mean() - 500_000) < 500_000 / np.sqrt(3 * 4000) * 4


def test_one_that_rounds_is_drawn_around_the_second():
    occ = occurrences([row(100, "shock", cell_s=1)])
    occ = replace(occ, sources=replace(occ.sources, nearest=np.array([True])))
    times = draw(occ, 4000).of_marks(np.array([0]))[:, 0] - to_us(100)

    assert times.min() >= -500_000
    assert times.max() <= 500_000
    assert abs(times.mean()) < 500_000 / np.sqrt(3 * 4000) * 4


def test_a_persons_mark_may_have_been_written_late():
    occ = occurrences([row(100, "shock", source="sheet", cell_s=60)])
    times = draw(occ, 4000).of_marks(np.array([0]))[:, 0] - to_us(100)

    assert -to_us(30) - LAG_US <= times.min() < -to_us(80)
    assert to_us(20) < times.max() <= to_us(30)


def test_hands_on_of_a_device_is_shifted_whole():
    occ = occurrences(compressions((20, 60), (70, 90)), spread_s=5)
    made = draw(occ, 200)
    moved = made.of_edges(np.arange(4)) - occ.time

    assert (moved == moved[:, :1]).all()
    assert moved[:, 0].std() > to_us(1)


def test_a_shock_stays_between_the_stop_before_and_the_start_after_it():
    rows = [*compressions((20, 60)), row(60, "shock", cell_s=1), *compressions((60.2, 90))]
    made = draw(occurrences(rows), 500)
    stop, shock, start = (
        made.of_edges(np.array([1])),
        made.of_marks(np.array([2])),
        made.of_edges(np.array([3])),
    )

    assert (stop <= shock).all()
    assert (shock <= start).all()


WRITTEN = st.lists(st.tuples(st.integers(0, 20), st.sampled_from([1, 60])), min_size=1, max_size=12)


@given(written=WRITTEN, source=st.sampled_from(["log", "sheet"]))
def test_marks_keep_the_order_in_which_their_source_wrote_them(written, source):
    """No draw turns a source's own order round."""
    rows = [row(60 * at, "note", source=source, cell_s=cell) for at, cell in sorted(written)]
    occ = occurrences(rows)

    assert (np.diff(draw(occ, 20).of_marks(np.arange(len(occ))), axis=1) >= 0).all()


def test_draws_depend_on_kinds_times_and_cells_alone():
    rows = [row(100, "shock", cell_s=1), row(160, "drug", "epinephrine", source="sheet", cell_s=60)]
    noted = [rows[0] | {"note": "pads checked"}, rows[1] | {"label": "adrenaline", "route": "iv"}]
    later = [row(100, "shock", cell_s=1), row(161, "drug", "epinephrine", source="sheet", cell_s=60)]
    all_rows = np.arange(2)

    assert (
        draw(occurrences(rows), 9).of_marks(all_rows) == draw(occurrences(noted), 9).of_marks(all_rows)
    ).all()
    assert (draw(occurrences(rows), 9).times != draw(occurrences(later), 9).times).any()


def test_single_compressions_alone_are_shifted_whole():
    """A sensor's file may hold no mark that is drawn by itself."""
    occ = occurrences([row(at, "compression") for at in (20, 20.5, 21)], spread_s=5)
    made = draw(occ, 50)
    rows = np.arange(3)

    assert (made.of_marks(rows) == made.of_edges(rows)).all()
    assert (np.diff(made.of_marks(rows)) == to_us(0.5)).all()
