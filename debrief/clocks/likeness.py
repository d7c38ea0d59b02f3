"""Whether two sources can be of one event at all: a file of another patient is told by its shocks.

Common practice, from no publication: two records of one event can miss a shock or two of each other, and
seldom three where one also has more than twice as many. Compared is the time that both tell of, for a device
can be brought late or taken away; all of it where a source fits the reference nowhere.
"""

from collections.abc import Iterable, Mapping

import numpy as np
import pyarrow as pa

from debrief.model.axis import Ints
from debrief.model.columns import ints_of
from debrief.model.event import Source
from debrief.model.problems import Problem, problem
from debrief.model.times import MINUTE_US

SHOCKS_APART = 3
TIMES_AS_MANY = 2
SLACK_US = MINUTE_US
"""How far from the time that both tell of a shock still counts. [us]"""


def unlike(
    reference: Source,
    placed: Mapping[str, pa.Table],
    apart: Mapping[str, pa.Table],
    sources: Iterable[Source],
) -> list[Problem]:
    """Return what is told of sources whose number of shocks is too far from that of the reference.

    Parameters
    ----------
    reference
        What the others are compared with.
    placed
        Marks on the reference clock, by their source's id; the reference's among them.
    apart
        Marks of sources that fit the reference in no way.
    sources
        All of these sources.
    """
    own = placed[reference.source_id]
    told = []
    for source in sources:
        if source.source_id == reference.source_id:
            continue
        if source.source_id in placed:
            here, there = _while_both_tell(own, placed[source.source_id])
        elif source.source_id in apart:
            tables = (own, apart[source.source_id])
            here, there = (len(_shocks(table, "source_time")) for table in tables)
        else:
            continue
        few, many = sorted((here, there))
        if few and many - few >= SHOCKS_APART and many > TIMES_AS_MANY * few:
            names = {"count": there, "other": reference.file, "others": here}
            told.append(problem("another_patient", source.source_id, None, file=source.file, **names))
    return told


def _shocks(marks: pa.Table, time: str = "time") -> Ints:
    kinds = marks["kind"].combine_chunks().dictionary_encode()
    names = kinds.dictionary.to_pylist()
    rows = np.flatnonzero(ints_of(kinds.indices) == names.index("shock") if "shock" in names else [])
    return np.take(ints_of(marks[time]), rows.astype(np.int64))


def _while_both_tell(first: pa.Table, second: pa.Table) -> tuple[int, int]:
    """Return the shocks of both while both have marks."""
    times = [ints_of(table["time"]) for table in (first, second)]
    low = max(int(each.min()) for each in times) - SLACK_US
    high = min(int(each.max()) for each in times) + SLACK_US
    counts = [int(np.count_nonzero((at >= low) & (at <= high))) for at in map(_shocks, (first, second))]
    return counts[0], counts[1]
