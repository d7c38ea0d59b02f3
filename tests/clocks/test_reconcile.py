"""Which marks are one occurrence, and that nothing is counted twice or eaten."""

from collections import Counter

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.reconcile import reconcile
from tests.made import occurrences, row


def reconciled(rows, spread_s=0):
    """Return rows reconciled."""
    return reconcile(occurrences(rows, spread_s=spread_s), [f"{r['source_id']}:{r['place']}" for r in rows])


def seen(made, rows):
    """Return for each occurrence the names of its marks."""
    return [[f"{rows[i]['source_id']}:{rows[i]['place']}" for i in marks] for marks in made.marks]


def test_a_double_press_is_one_shock_and_said():
    rows = [
        row(100, "shock", amount=200.0, unit="J"),
        row(102, "shock", amount=200.0, unit="J"),
        row(104, "shock"),
    ]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "log:102"], ["log:104"]]
    assert [(problem.code, problem.place) for problem in made.problems] == [("pressed_again", "102")]


def test_other_drugs_and_other_energies_are_not_the_same_again():
    rows = [
        row(100, "drug", "epinephrine"),
        row(101, "drug", "amiodarone"),
        row(200, "shock", amount=150.0, unit="J"),
        row(201, "shock", amount=200.0, unit="J"),
    ]

    assert len(reconciled(rows).marks) == 4


def test_the_better_time_leads_and_takes_what_it_lacks():
    rows = [row(70, "shock", source="sheet", cell_s=60, amount=200.0, unit="J"), row(100, "shock")]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "sheet:70"]]
    assert made.occurrences.amount.tolist() == [200.0]
    assert made.occurrences.unit.text(0) == "J"


def test_sources_that_disagree_are_one_occurrence_and_a_problem():
    rows = [
        row(100, "shock", amount=150.0, unit="J"),
        row(110, "shock", source="sheet", amount=200.0, unit="J"),
    ]
    made = reconciled(rows)

    assert len(made.marks) == 1
    assert made.occurrences.amount.tolist() == [150.0]
    assert "200 J" in made.problems[0].message
    assert "150 J" in made.problems[0].message


def test_marks_further_apart_than_cells_and_clocks_allow_stay_apart():
    rows = [row(100, "shock"), row(161, "shock", source="sheet", cell_s=1)]

    assert len(reconciled(rows).marks) == 2
    assert len(reconciled(rows, spread_s=1).marks) == 1


def test_pairs_are_in_order_and_as_near_as_can_be():
    rows = [row(100, "shock"), row(130, "shock"), row(128, "shock", source="sheet", cell_s=1)]

    assert seen(reconciled(rows), rows) == [["log:100"], ["log:130", "sheet:128"]]


TIMES = st.lists(st.integers(0, 600), max_size=6)


@given(log=TIMES, sheet=TIMES)
def test_a_link_never_lowers_the_count_of_the_fuller_source(log, sheet):
    """Whatever two sources hold, none of their doses is lost and none is counted twice."""
    rows = [row(at, "drug", "epinephrine", place=f"{i}") for i, at in enumerate(sorted(log))]
    rows += [
        row(at, "drug", "epinephrine", source="sheet", place=f"{i}") for i, at in enumerate(sorted(sheet))
    ]
    if not rows:
        return
    made = reconciled(rows)
    alone = [
        reconciled([r for r in rows if r["source_id"] == name]).marks
        for name in ("log", "sheet")
        if any(r["source_id"] == name for r in rows)
    ]

    assert len(made.marks) >= max(map(len, alone))
    assert Counter(i for marks in made.marks for i in marks) == Counter(range(len(rows)))
    assert (np.diff(made.occurrences.time) >= 0).all()
