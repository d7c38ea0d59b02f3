"""The structure of an event, decided once: each test is one sentence of the definitions."""

import pytest

from debrief.model.structure import BASES, CLOSED, OPENED, WHY_NOT
from tests.made import compressions, course, pairs, row, seconds

ARREST = [row(0, "recognition"), *compressions((20, 300), (310, 600)), row(600, "rosc")]


def episodes(made):
    """Return episodes as (start, end, opened by, closed by, implied)."""
    found = made.structure.episodes
    return [
        (start, end, OPENED[opened], CLOSED[closed], bool(implied))
        for start, end, opened, closed, implied in zip(
            seconds(made.episode_start),
            seconds(made.episode_end),
            found.opened_by,
            found.closed_by,
            found.implied,
            strict=True,
        )
    ]


@pytest.mark.parametrize(
    ("rows", "basis", "zero_s"),
    [
        ([row(5, "pulseless"), row(0, "recognition"), *compressions((20, 60), (70, 90))], "pulseless", 5),
        (
            [row(0, "recognition"), row(30, "pulseless"), *compressions((20, 60), (70, 90))],
            "poor_perfusion",
            20,
        ),
        ([row(3, "recognition"), *compressions((20, 60), (70, 90))], "recognition", 3),
        ([row(9, "call"), *compressions((20, 60), (70, 90))], "assumed", 9),
        ([row(9, "note"), row(12, "rhythm", "vf"), *compressions((20, 60), (70, 90))], "assumed", 12),
        ([row(9, "note"), row(12, "rhythm", "perfusing")], "assumed", 9),
    ],
)
def test_time_zero_is_the_best_that_was_marked(rows, basis, zero_s):
    made = course(rows)

    assert BASES[made.structure.basis[0]] == basis
    assert made.placing.zero[0, 0] == zero_s * 1_000_000


def test_the_reviewers_time_zero_stands_before_all():
    made = course(ARREST, zero_s=10)

    assert BASES[made.structure.basis[0]] == "reviewer"
    assert episodes(made) == [(0, 590, "time_zero", "rosc", False)]
    assert pairs(made.windows) == [(10, 590)]


def test_an_episode_runs_from_zero_to_rosc():
    assert episodes(course(ARREST)) == [(0, 600, "time_zero", "rosc", False)]


def test_failing_all_an_episode_ends_with_the_last_mark():
    made = course([*ARREST[:-1], row(640, "note")])

    assert episodes(made) == [(0, 640, "time_zero", "last_mark", False)]


def test_the_reviewers_end_closes_what_is_open():
    made = course(ARREST, end_s=400)

    assert episodes(made) == [(0, 400, "time_zero", "reviewer", False)]
    assert pairs(made.windows) == [(20, 400)]


def test_compressions_across_a_rosc_close_the_episode_at_their_end():
    made = course([row(0, "recognition"), *compressions((20, 300), (310, 630)), row(600, "rosc")])

    assert episodes(made) == [(0, 630, "time_zero", "rosc", False)]
    assert len(made.structure.absorbed) == 1


@pytest.mark.parametrize(
    ("again", "absorbed"), [((625, 655), True), ((631, 655), False), ((625, 661), False)]
)
def test_compressions_resumed_in_passing_close_the_episode_later_ones_imply_a_rearrest(again, absorbed):
    made = course([row(0, "recognition"), *compressions((20, 300), (310, 600), again), row(600, "rosc")])

    if absorbed:
        assert episodes(made) == [(0, 655, "time_zero", "rosc", False)]
    else:
        assert episodes(made) == [
            (0, 600, "time_zero", "rosc", False),
            (again[0], again[1], "compressions", "last_compression_or_shock", True),
        ]


def test_a_shock_after_rosc_implies_a_rearrest_a_cardioversion_does_not():
    shocked = course([*ARREST, row(700, "shock"), row(720, "note")])
    timed = course([*ARREST, row(700, "cardioversion"), row(720, "note")])

    assert episodes(shocked)[1] == (700, 700, "shock", "last_compression_or_shock", True)
    assert len(episodes(timed)) == 1


def test_a_marked_rearrest_opens_an_episode_and_its_gap_is_a_pause():
    rows = [*ARREST, row(900, "rearrest"), *compressions((905, 1000)), row(1000, "efforts_ended", "died")]
    made = course(rows)

    assert episodes(made)[1] == (900, 1000, "rearrest", "efforts_ended", False)
    assert pairs(made.windows) == [(20, 600), (900, 1000)]
    assert pairs(made.pauses) == [(300, 310), (900, 905)]


def test_a_new_loss_of_pulse_after_rosc_is_a_rearrest():
    made = course([*ARREST, row(900, "pulseless"), *compressions((905, 1000))])

    assert episodes(made)[1][:3] == (900, 1000, "rearrest")
    assert BASES[made.structure.basis[0]] == "recognition"


def test_work_after_the_end_of_efforts_opens_nothing():
    rows = [*ARREST[:-1], row(600, "efforts_ended", "died"), *compressions((700, 800)), row(750, "shock")]

    assert len(episodes(course(rows))) == 1


def test_hands_on_comes_from_the_best_source_that_covers_it():
    singles = [row(100 + i / 2, "compression", source="puck") for i in range(101)]
    made = course([row(0, "recognition"), *compressions((20, 120), (130, 300)), *singles, row(300, "rosc")])

    assert pairs(made.hands_on) == [(20, 300)]
    assert [pairs(hands) for hands in made.hands_by] == [[(100, 150)], [(20, 100), (150, 300)]]


def test_two_sources_are_never_united():
    sheet = compressions((20, 80), (90, 300), source="sheet")
    made = course([row(0, "recognition"), *compressions((20, 120), (130, 300)), *sheet, row(300, "rosc")])

    assert pairs(made.pauses) == [(120, 130)]


def test_a_source_with_starts_alone_gives_the_first_compression_only():
    made = course([row(0, "recognition"), row(20, "compressions_start"), row(600, "rosc")])

    assert not made.structure.measured[0]
    assert made.structure.first_compression[0] >= 0
    assert pairs(made.covered) == []


def test_a_stop_at_the_very_end_records_no_interruption():
    made = course([row(0, "recognition"), *compressions((20, 600)), row(600, "rosc"), row(700, "note")])

    assert not made.structure.measured[0]


def test_a_pause_with_a_length_resumes_by_itself():
    rows = [
        row(0, "recognition"),
        row(20, "compressions_start"),
        row(60, "pause", length_s=12),
        row(300, "rosc"),
    ]

    assert pairs(course(rows).pauses) == [(60, 72)]


def test_a_start_inside_a_pause_ends_it():
    rows = [row(0, "recognition"), row(20, "compressions_start"), row(60, "pause", length_s=12)]

    assert pairs(course([*rows, row(65, "compressions_start"), row(300, "rosc")]).pauses) == [(60, 65)]


def test_a_pause_without_a_length_is_a_stop():
    rows = [
        row(0, "recognition"),
        row(20, "compressions_start"),
        row(60, "pause"),
        row(68, "compressions_start"),
    ]

    assert pairs(course([*rows, row(300, "rosc")]).pauses) == [(60, 68)]


@pytest.mark.parametrize(("gap_s", "pauses"), [(0.99, []), (1.0, [(60, 61)])])
def test_a_gap_shorter_than_the_shortest_pause_is_hands_on(gap_s, pauses):
    rows = [row(0, "recognition"), *compressions((20, 60), (60 + gap_s, 200), (210, 300)), row(300, "rosc")]

    assert pairs(course(rows).pauses) == [*pauses, (200, 210)]


def test_whole_second_stamps_count_as_presence_for_their_second():
    stamps = [row(at, "compression", source="puck", cell_s=1) for at in (20, 20, 21, 22, 25, 26)]
    made = course([row(0, "recognition"), *stamps, row(60, "rosc")])

    assert pairs(made.hands_on) == [(20, 23), (25, 27)]


def test_coarse_single_compressions_tell_no_pause():
    stamps = [row(at / 2, "compression", source="puck", cell_s=0.5) for at in range(40, 80)]

    assert not course([row(0, "recognition"), *stamps, row(60, "rosc")]).structure.measured[0]


@pytest.mark.parametrize(("explained", "covered"), [(False, [(20, 30), (160, 170)]), (True, [(20, 170)])])
def test_a_long_silence_of_a_sensor_is_not_covered_unless_a_stop_explains_it(explained, covered):
    singles = [row(at + i / 2, "compression", source="puck") for at in (20, 160) for i in range(21)]
    stop = [row(30, "compressions_stop", source="sheet")] if explained else []

    assert pairs(course([row(0, "recognition"), *singles, *stop, row(200, "rosc")]).covered) == covered


def test_with_extracorporeal_flow_the_window_runs_to_the_flow():
    rows = [row(0, "recognition"), *compressions((20, 300), (310, 600)), row(640, "ecls_flow")]
    made = course(rows)

    assert pairs(made.windows) == [(20, 640)]
    assert pairs(made.pauses) == [(300, 310), (600, 640)]


def test_a_last_shock_after_the_last_compression_ends_the_window():
    made = course([*ARREST[:-1], row(605, "shock"), row(640, "rosc")])

    assert pairs(made.windows) == [(20, 605)]


@pytest.mark.parametrize(
    ("dose", "why_not"),
    [
        (row(100, "drug", "epinephrine", route="iv"), ""),
        (row(100, "drug", "epinephrine"), ""),
        (row(100, "drug", "epinephrine", route="im"), "other_route"),
        (row(100, "drug", "epinephrine", unit="mcg/min", amount=5.0), "infusion"),
        (row(-30, "drug", "epinephrine", route="iv"), "before_arrest"),
        (row(700, "drug", "epinephrine", route="iv"), "outside_arrest"),
    ],
)
def test_a_counted_dose_is_a_bolus_into_vein_or_bone_inside_an_episode(dose, why_not):
    made = course([*ARREST, dose, row(800, "note")])

    assert WHY_NOT[made.structure.why_not[0]] == why_not


@pytest.mark.parametrize(
    ("labels", "first"),
    [
        ([(-70, "asystole"), (-30, "pea"), (40, "vf")], "pea"),
        ([(-70, "asystole"), (40, "vf")], "vf"),
        ([(-30, "perfusing"), (40, "vf")], "vf"),
        ([(0, "vf"), (10, "pea")], "vf"),
    ],
)
def test_first_rhythm_is_the_last_in_the_minute_before_zero_else_the_first_after(labels, first):
    made = course([*ARREST, *(row(at, "rhythm", name) for at, name in labels)])

    assert made.structure.occurrences.detail.text(int(made.structure.first_rhythm[0])) == first
