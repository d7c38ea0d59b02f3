"""Which marks are one occurrence, what a reviewer's word does, and that nothing is counted twice or eaten."""

from collections import Counter
from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.align import align
from debrief.clocks.reconcile import reconcile
from debrief.clocks.together import PAIRED
from debrief.model.occurrences import from_marks
from tests.clock_world import two
from tests.clocks.test_pairs import every_matching
from tests.made import occurrences, row


def names_of(rows):
    """Return the name of each row."""
    return [f"{r['source_id']}:{r['place']}" for r in rows]


def reconciled(rows, spread_s=0, **by_hand):
    """Return rows reconciled."""
    ranks = {"tablet": "person", "second": "person", "other": "device"}
    return reconcile(occurrences(rows, ranks, spread_s), names_of(rows), **by_hand)


def seen(made, rows):
    """Return for each occurrence the names of its marks."""
    return [[names_of(rows)[i] for i in marks] for marks in made.marks]


def told(made):
    """Return the codes of the problems and where they stand."""
    return [(problem.code, f"{problem.source_id}:{problem.place}") for problem in made.problems]


def dose(at, source="log", drug="epinephrine", **more):
    """Return one dose."""
    return row(at, "drug", drug, source=source, **more)


def test_a_double_press_is_one_shock_and_said():
    rows = [
        row(100, "shock", amount=200.0, unit="J"),
        row(102, "shock", amount=200.0, unit="J"),
        row(104, "shock"),
    ]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "log:102"], ["log:104"]]
    assert told(made) == [("pressed_again", "log:102")]


def test_a_double_press_that_was_parted_is_two_and_no_problem():
    rows = [dose(100), dose(104)]
    made = reconciled(rows, parted=[("log:100", "log:104")])

    assert seen(made, rows) == [["log:100"], ["log:104"]]
    assert told(made) == []


def test_other_drugs_and_other_energies_are_not_the_same_again():
    rows = [
        dose(100),
        dose(101, drug="amiodarone"),
        row(200, "shock", amount=150.0, unit="J"),
        row(201, "shock", amount=200.0, unit="J"),
    ]

    assert len(reconciled(rows).marks) == 4


def test_a_first_press_without_an_amount_is_not_the_same_as_two_that_differ():
    rows = [dose(100), dose(103, amount=1.0, unit="mg"), dose(106, amount=10.0, unit="mg")]

    assert seen(reconciled(rows), rows) == [["log:100", "log:103"], ["log:106"]]


def test_the_better_time_leads_and_takes_what_it_lacks():
    rows = [row(70, "shock", source="sheet", cell_s=60, amount=200.0, unit="J"), row(100, "shock")]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "sheet:70"]]
    assert made.occurrences.amount.tolist() == [200.0]
    assert made.occurrences.unit.text(0) == "J"


def test_an_airway_that_the_log_does_not_name_is_the_one_that_the_sheet_names():
    rows = [row(100, "airway"), row(110, "airway", "tube", source="sheet")]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "sheet:110"]]
    assert made.occurrences.detail.text(0) == "tube"


@pytest.mark.parametrize(
    ("kind", "one", "other"),
    [("airway", "bag_mask", "tube"), ("access", "iv", "io"), ("shock", None, "implanted")],
)
def test_what_differs_in_kind_is_never_one(kind, one, other):
    rows = [row(100, kind, one), row(110, kind, other, source="sheet")]

    assert len(reconciled(rows).marks) == 2


def test_a_dose_into_a_muscle_is_not_one_into_a_vein():
    rows = [dose(100, route="iv"), dose(110, "sheet", route="im"), dose(115, "sheet", route="io")]

    assert seen(reconciled(rows), rows) == [["log:100", "sheet:115"], ["sheet:110"]]


@pytest.mark.parametrize(
    ("kind", "detail", "here", "there", "said"),
    [
        ("shock", None, {"amount": 150.0, "unit": "J"}, {"amount": 200.0, "unit": "J"}, ("150 J", "200 J")),
        (
            "drug",
            "epinephrine",
            {"amount": 1.0, "unit": "mg"},
            {"amount": 10.0, "unit": "mg"},
            ("1 mg", "10 mg"),
        ),
        (
            "drug",
            "epinephrine",
            {"amount": 1.0, "unit": "mg"},
            {"amount": 1.0, "unit": "mL"},
            ("1 mg", "1 mL"),
        ),
    ],
)
def test_sources_that_disagree_are_one_occurrence_and_a_problem_that_says_which_is_used(
    kind, detail, here, there, said
):
    rows = [row(100, kind, detail, **here), row(110, kind, detail, source="sheet", **there)]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "sheet:110"]]
    assert made.occurrences.amount.tolist() == [here["amount"]]
    assert told(made) == [("sources_disagree", "sheet:110")]
    message = made.problems[0].message
    assert said[1] in message
    assert f"the figures use {detail or kind} {said[0]}" in message
    assert "log:100" in message


def test_an_amount_without_its_unit_agrees_with_the_same_number_and_takes_the_unit():
    rows = [dose(100, amount=1.0), dose(110, "sheet", amount=1.0, unit="mg")]
    made = reconciled(rows)

    assert told(made) == []
    assert made.occurrences.unit.text(0) == "mg"


def test_two_that_contradict_each_other_are_told_even_where_the_leading_mark_says_nothing():
    rows = [
        row(100, "shock"),
        row(110, "shock", source="sheet", amount=150.0, unit="J"),
        row(112, "shock", source="tablet", amount=200.0, unit="J"),
    ]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "sheet:110", "tablet:112"]]
    assert made.occurrences.amount.tolist() == [150.0]
    assert told(made) == [("sources_disagree", "tablet:112")]


def test_of_two_in_one_minute_the_one_that_agrees_is_taken():
    rows = [row(130, "shock", source="log", amount=200.0, unit="J")]
    rows += [
        row(150, "shock", source="sheet", cell_s=60, place=name, amount=amount, unit="J")
        for name, amount in (("a", 360.0), ("b", 200.0), ("c", 150.0))
    ]

    assert seen(reconciled(rows), rows)[0] == ["log:130", "sheet:b"]


def test_marks_further_apart_than_cells_and_clocks_allow_stay_apart_and_are_asked_about():
    rows = [row(100, "shock"), row(166, "shock", source="sheet", cell_s=1)]
    made = reconciled(rows)

    assert len(made.marks) == 2
    assert told(made) == [("seen_apart", "sheet:166")]
    assert "1:06" in made.problems[0].message
    assert len(reconciled(rows, spread_s=1).marks) == 1
    assert told(reconciled(rows, parted=[("log:100", "sheet:166")])) == []


def test_what_happens_once_is_asked_about_however_far_apart_two_sources_have_it():
    rows = [row(100, "rosc"), row(500, "rosc", source="sheet")]

    assert told(reconciled(rows)) == [("seen_apart", "sheet:500")]
    assert told(reconciled([*rows, row(900, "rosc", source="sheet")])) == []


def test_a_shock_that_the_running_device_does_not_show_is_asked_about():
    rows = [row(10, "shock"), row(900, "note"), row(400, "shock", source="sheet")]
    made = reconciled(rows)

    assert told(made) == [("shock_unseen", "sheet:400")]
    assert told(reconciled(rows, parted=[("log:10", "sheet:400")])) == []
    assert told(reconciled([*rows[:2], row(950, "shock", source="sheet")])) == []
    assert told(reconciled([*rows[:2], row(400, "shock", "implanted", source="sheet")])) == []


def test_rhythms_that_contradict_each_other_at_one_moment_are_both_kept_and_said():
    rows = [row(100, "rhythm", "vf"), row(120, "rhythm", "asystole", source="sheet")]
    made = reconciled(rows)

    assert len(made.marks) == 2
    assert told(made) == [("rhythms_differ", "sheet:120")]
    assert told(reconciled(rows, parted=[("log:100", "sheet:120")])) == []
    assert told(reconciled([*rows, row(110, "shock")])) == []
    assert told(reconciled([*rows, row(124, "rhythm", "asystole")])) == []


@pytest.mark.parametrize("label", ["shockable", "unknown", "vf"])
def test_a_label_that_is_more_general_contradicts_nothing(label):
    rows = [row(100, "rhythm", label), row(120, "rhythm", "vf", source="sheet")]

    assert told(reconciled(rows)) == []


def test_a_shockable_and_a_not_shockable_label_contradict_each_other():
    rows = [row(100, "rhythm", "not_shockable"), row(120, "rhythm_check", "vf", source="sheet")]

    assert told(reconciled(rows)) == [("rhythms_differ", "sheet:120")]


def test_two_drugs_at_one_moment_that_each_source_has_alone_are_both_counted_and_said():
    rows = [dose(100), dose(110, "sheet", drug="amiodarone")]

    assert told(reconciled(rows)) == [("drugs_differ", "sheet:110")]
    assert told(reconciled([*rows, dose(112, "sheet")])) == []


def test_a_person_writes_late_and_hardly_early():
    rows = [row(200, "shock"), row(194, "shock", source="sheet")]

    assert len(reconciled(rows).marks) == 2
    assert len(reconciled([rows[0], row(196, "shock", source="sheet")]).marks) == 1
    assert len(reconciled([rows[0], row(264, "shock", source="sheet")]).marks) == 1


def test_pairs_are_in_order_and_as_near_as_can_be():
    rows = [row(100, "shock"), row(130, "shock"), row(128, "shock", source="sheet", cell_s=1)]

    assert seen(reconciled(rows), rows) == [["log:100"], ["log:130", "sheet:128"]]


def test_a_dose_right_between_two_is_a_tie_until_one_is_linked_by_hand():
    rows = [dose(100), dose(160), dose(130, "sheet", cell_s=60)]
    made = reconciled(rows)

    assert seen(made, rows) == [["log:100", "sheet:130"], ["log:160"]]
    assert told(made) == [("pairing_tie", "sheet:130")]
    assert "log:100" in made.problems[0].message
    assert "log:160" in made.problems[0].message
    settled = reconciled(rows, linked=[("log:160", "sheet:130")])
    assert seen(settled, rows) == [["log:100"], ["log:160", "sheet:130"]]
    assert told(settled) == []


def test_twins_are_no_tie():
    rows = [dose(100, cell_s=60), dose(100, cell_s=60, place="again"), dose(100, "sheet", cell_s=60)]

    assert told(reconciled(rows, parted=[("log:100", "log:again")])) == []


def test_a_link_by_hand_joins_what_lies_far_apart_and_the_better_time_leads():
    rows = [dose(100), dose(400, "sheet", amount=1.0, unit="mg")]
    made = reconciled(rows, linked=[("log:100", "sheet:400")])

    assert seen(made, rows) == [["log:100", "sheet:400"]]
    assert made.occurrences.amount.tolist() == [1.0]
    assert told(made) == [("link_far", "sheet:400")]
    assert "5:00" in made.problems[0].message


def test_a_drug_without_a_name_can_be_linked_to_one_with_a_name():
    rows = [row(100, "drug"), dose(110, "sheet")]
    made = reconciled(rows, linked=[("log:100", "sheet:110")])

    assert seen(made, rows) == [["log:100", "sheet:110"]]
    assert made.occurrences.detail.text(0) == "epinephrine"


@pytest.mark.parametrize(
    ("rows", "linked", "parted", "code"),
    [
        ([dose(100), dose(300)], [("log:100", "log:300")], [], "link_one_source"),
        ([dose(100), dose(104)], [("log:100", "log:104")], [("log:100", "log:104")], "link_one_source"),
        (
            [dose(100), dose(300), dose(200, "sheet")],
            [("log:100", "sheet:200"), ("log:300", "sheet:200")],
            [],
            "link_chain",
        ),
        ([dose(100), dose(110, "sheet", drug="amiodarone")], [("log:100", "sheet:110")], [], "link_unlike"),
        ([dose(100), row(110, "shock", source="sheet")], [("log:100", "sheet:110")], [], "link_unlike"),
        (
            [row(100, "compressions_start"), row(101, "compressions_start", source="sheet")],
            [("log:100", "sheet:101")],
            [],
            "link_of_kind",
        ),
        (
            [dose(100), dose(110, "sheet"), dose(120, "tablet")],
            [("log:100", "sheet:110"), ("log:100", "tablet:120")],
            [("sheet:110", "tablet:120")],
            "link_of_parted",
        ),
        ([dose(100)], [("log:100", "sheet:110")], [], "link_lost"),
        ([dose(100)], [], [("log:100", "sheet:110")], "link_lost"),
        ([dose(100)], [("log:1", "sheet:110")], [], "link_lost"),
    ],
)
def test_what_cannot_be_linked_is_left_and_said(rows, linked, parted, code):
    made = reconciled(rows, linked=linked, parted=parted)
    without = reconciled(rows, parted=[] if code == "link_lost" else parted)

    assert len(made.marks) >= len(without.marks) - (code in ("link_chain", "link_of_parted"))
    assert code in [problem.code for problem in made.problems]
    most = Counter(r["source_id"] for r in rows if r["kind"] == "drug")
    assert len(made.marks) >= max(most.values(), default=0)


def test_a_linked_pair_stays_in_order_with_the_pairs_around_it():
    rows = [dose(100), dose(160), dose(220), dose(100, "sheet"), dose(160, "sheet"), dose(220, "sheet")]
    made = reconciled(rows, linked=[("log:160", "sheet:100")])

    assert seen(made, rows) == [
        ["log:100"],
        ["log:160", "sheet:100"],
        ["sheet:160"],
        ["log:220", "sheet:220"],
    ]


def test_a_label_every_second_is_kept_and_compared_with_nothing():
    rows = [row(at, "rhythm", "vf") for at in range(2_001)] + [row(5, "rhythm", "vf", source="sheet")]
    made = reconciled(rows)

    assert len(made.marks) == 2_002
    assert told(made) == [("too_many_alike", "log:0")]


@pytest.mark.parametrize(("sheet", "least"), [("second", 0.99), ("minute", 0.97)])
def test_marks_that_place_a_clock_are_taken_as_one(sheet, least):
    """Clocks are placed by the likeliest pairs, occurrences are the nearest: nearly always the same."""
    joined = []
    for seed in range(40):
        aligned = align(two(seed, sheet).event)
        ids, places, kinds = (aligned.marks[name].to_pylist() for name in ("source_id", "place", "kind"))
        names = [f"{source_id}:{place}" for source_id, place in zip(ids, places, strict=True)]
        kind = dict(zip(names, kinds, strict=True))
        occ = from_marks(aligned.marks, aligned.sources, aligned.source)
        together = {names[i]: marks for marks in reconcile(occ, names).marks for i in marks}
        joined += [
            together[mark] == together[other]
            for pairs in aligned.pairs
            for mark, other, _ in pairs
            if kind[mark] == kind[other] and kind[mark] in PAIRED
        ]

    assert len(joined) > 400
    assert np.mean(joined) > least


TIMES = st.lists(st.integers(0, 600), max_size=6)
CELLS = st.sampled_from([0.01, 1, 60])


@st.composite
def told_by_three(draw):
    """Return doses of two drugs and shocks as three sources may tell them."""
    rows = []
    for source in ("log", "sheet", "tablet"):
        cell_s = draw(CELLS)
        for number, at in enumerate(sorted(draw(TIMES))):
            kind, detail = draw(
                st.sampled_from([("drug", "epinephrine"), ("drug", "amiodarone"), ("shock", None)])
            )
            amount = draw(st.sampled_from([None, 1.0, 2.0]))
            unit = amount and ("J" if kind == "shock" else "mg")
            rows.append(
                row(
                    at,
                    kind,
                    detail,
                    source=source,
                    place=str(number),
                    cell_s=cell_s,
                    amount=amount,
                    unit=unit,
                )
            )
    return rows


def what(r):
    """Return what must be the same of two marks of one occurrence."""
    return r["kind"], r["detail"]


def key_of(made, rows):
    """Return the occurrences in no order: the marks of each, the leading one first, and its amount."""
    values = made.occurrences.amount.tolist()
    return {(names, str(value)) for names, value in zip(map(tuple, seen(made, rows)), values, strict=True)}


@given(told_by_three())
def test_nothing_is_counted_twice_and_no_dose_is_eaten(rows):
    if not rows:
        return
    made = reconciled(rows)
    alone = {
        source: Counter(what(mine[marks[0]]) for marks in reconciled(mine).marks)
        for source in ("log", "sheet", "tablet")
        if (mine := [r for r in rows if r["source_id"] == source])
    }
    found = Counter(what(rows[marks[0]]) for marks in made.marks)

    assert Counter(i for marks in made.marks for i in marks) == Counter(range(len(rows)))
    for sort in found:
        counts = [alone[source][sort] for source in alone]
        assert max(counts) <= found[sort] <= sum(counts)
    for marks in made.marks:
        assert len({what(rows[i]) for i in marks}) == 1
    assert (np.diff(made.occurrences.time) >= 0).all()


@given(told_by_three())
def test_a_source_is_in_an_occurrence_once_and_no_two_pairs_cross(rows):
    if not rows:
        return
    made = reconciled(rows)
    again = {(p.source_id, p.place) for p in made.problems if p.code == "pressed_again"}
    first = [
        {rows[i]["source_id"]: i for i in marks if (rows[i]["source_id"], rows[i]["place"]) not in again}
        for marks in made.marks
    ]
    pressed = [
        i for marks in made.marks for i in marks if (rows[i]["source_id"], rows[i]["place"]) not in again
    ]
    assert len(pressed) == sum(map(len, first))
    for a, b in combinations(first, 2):
        shared = [(a[source], b[source]) for source in a.keys() & b.keys()]
        if shared and what(rows[shared[0][0]]) == what(rows[shared[0][1]]):
            assert len({i < j for i, j in shared}) == 1


@given(told_by_three())
def test_the_order_of_the_files_does_not_matter(rows):
    if not rows:
        return
    held = [[r for r in rows if r["source_id"] == source] for source in ("log", "sheet", "tablet")]
    orders = [[r for part in order for r in part] for order in permutations(held)]
    made = [(reconciled(order), order) for order in orders]

    assert all(key_of(*one) == key_of(*made[0]) for one in made)
    assert all(sorted(told(one)) == sorted(told(made[0][0])) for one, _ in made)


@given(told_by_three())
def test_linking_by_hand_what_was_taken_as_one_changes_nothing(rows):
    if not rows:
        return
    made = reconciled(rows)
    names = names_of(rows)
    linked = [
        (names[marks[0]], names[i])
        for marks in made.marks
        for i in marks[1:]
        if rows[i]["source_id"] != rows[marks[0]]["source_id"]
    ]
    assert key_of(reconciled(rows, linked=linked), rows) == key_of(made, rows)


@given(told_by_three(), st.data())
def test_parted_marks_are_never_one_and_links_never_lower_the_count_of_a_source(rows, data):
    if len(rows) < 2:
        return
    pairs = [tuple(sorted(pair)) for pair in combinations(names_of(rows), 2)]
    parted = data.draw(st.lists(st.sampled_from(pairs), max_size=4))
    linked = data.draw(
        st.lists(st.sampled_from([p for p in pairs if p not in parted] or pairs[:0] or [("a", "b")]))
    )
    made = reconciled(rows, linked=linked, parted=parted)

    for names in seen(made, rows):
        assert not {tuple(sorted(pair)) for pair in combinations(names, 2)} & set(parted)
    for source in ("log", "sheet", "tablet"):
        mine = [r for r in rows if r["source_id"] == source]
        own = [pair for pair in parted if {name.partition(":")[0] for name in pair} == {source}]
        least = (
            Counter(what(mine[marks[0]]) for marks in reconciled(mine, parted=own).marks)
            if mine
            else Counter()
        )
        found = Counter(what(rows[marks[0]]) for marks in made.marks)
        assert all(found[sort] >= least[sort] for sort in least)


@given(log=TIMES, sheet=TIMES)
def test_two_sources_pair_as_the_best_of_all_ways_does(log, sheet):
    """Against every way there is: the most pairs, then the least distance in all."""
    log, sheet = log[:5], sheet[:5]
    rows = [row(at, "rosc", place=str(i)) for i, at in enumerate(sorted(log))]
    rows += [row(at, "rosc", source="sheet", cell_s=1, place=str(i)) for i, at in enumerate(sorted(sheet))]
    if not log or not sheet:
        return
    apart = np.abs(np.sort(log)[:, None] - np.sort(sheet)[None, :])
    late = np.sort(sheet)[None, :] - np.sort(log)[:, None]
    cost = np.where((late >= -5) & (late <= 65), apart, -1)
    best = max((len(pairs), -sum(int(cost[pair]) for pair in pairs)) for pairs in every_matching(cost))
    pairs = [marks for marks in reconciled(rows).marks if len(marks) == 2]
    assert best == (
        len(pairs),
        -sum(abs(rows[a]["source_time"] - rows[b]["source_time"]) // 10**6 for a, b in pairs),
    )
