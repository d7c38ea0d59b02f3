"""All figures of many events in one call: the same as one by one, whatever the blocks."""

import numpy as np
import pyarrow as pa
import pytest

from debrief.assess.many import figures_of
from debrief.course import decide, place
from debrief.measures import measure
from debrief.model.occurrences import from_marks
from debrief.model.structure import PointTimes
from tests.benchmarks.made_events import made
from tests.made import ADULT, occurrences

EVENTS = 40


@pytest.fixture(scope="module")
def marks():
    """Return forty invented events."""
    return made(EVENTS, seed=7)


def test_one_call_gives_what_each_event_gives_alone(marks):
    together = figures_of(marks)
    names = [name for name in together.column_names if name != "event_id" and not name.endswith("_because")]
    for number, event_id in enumerate(marks["event_id"].unique().to_pylist()):
        alone = marks.filter(pa.compute.equal(marks["event_id"], event_id))
        rows = occurrences(
            [
                {
                    "source_id": "log",
                    "event_id": "x",
                    "place": "1",
                    "time_text": "",
                    "kind": "note",
                    "origin": "device",
                    "label": "",
                    "time": 0,
                    "source_time": 0,
                    "cell": 1,
                }
            ]
        )
        occ = from_marks(alone, rows.sources, np.zeros(len(alone), np.int64))
        answers = measure(place(decide(occ, ADULT), PointTimes(occ)))
        for name in names:
            value = together[name][number].as_py()
            expected = answers[name].value[0]
            assert (value is None and np.isnan(expected)) or value == expected, (event_id, name)


@pytest.mark.parametrize("block_marks", [1, 60, 500, 10_000])
def test_the_result_is_the_same_whatever_the_blocks(marks, block_marks):
    assert figures_of(marks, block_marks=block_marks).equals(figures_of(marks))


def test_a_missing_value_has_a_reason(marks):
    together = figures_of(marks)
    for name in together.column_names:
        if name.endswith("_because"):
            missing = pa.compute.is_null(together[name.removesuffix("_because")])
            assert pa.compute.is_valid(together[name]).equals(missing), name
