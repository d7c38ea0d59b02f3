"""What a reviewer says of two marks is heard on the timeline that they stand on."""

from dataclasses import replace

from debrief.assess import Asked, assess_event
from tests.made import event, row

GIVEN = (
    ("epinephrine", 100),
    ("amiodarone", 170),
    ("epinephrine", 390),
    ("atropine", 560),
    ("epinephrine", 800),
)


def test_a_pair_is_heard_where_both_marks_stand_and_told_where_one_does_not():
    rows = [row(0, "recognition"), row(10, "shock"), row(400, "shock"), row(600, "rosc")]
    for name, late in (("one", 0), ("two", 1)):
        rows += [row(at + late, "drug", drug, source=name) for drug, at in GIVEN]
    made = event(rows, sources={"one": ("device", None), "two": ("device", None)})
    parted = frozenset({("one:100", "two:101")})
    across = frozenset({("log:10", "one:100")})
    report = assess_event(replace(made, linked=across, parted=parted), Asked(draws=0)).to_dict()

    lost = [one["message"] for one in report["problems"] if one["code"] == "link_lost"]
    assert len(lost) == 1
    assert "log:10" in lost[0]
    [apart] = report["apart"]
    assert all(one["code"] != "link_lost" for one in apart["problems"])
    assert sorted(len(one["marks"]) for one in apart["occurrences"]) == [1, 1, 2, 2, 2, 2]
