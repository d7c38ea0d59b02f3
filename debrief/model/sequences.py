"""Two helpers for sequences of columns sorted by group, then time."""

import numpy as np

from debrief.model.axis import Bools, Ints


def alternate(group: Ints, opens: Bools) -> tuple[Ints, Ints]:
    """Return the rows that open a stretch and, for each, the row that closes it (-1 where none does).

    Rows either open or close; a stretch is open from an opening row to the next closing row of its group, and
    what opens an open stretch or closes a closed one says nothing. Each group starts closed.

    Parameters
    ----------
    group : int64, shape (n,)
        Sorted.
    opens : bool, shape (n,)
        Whether each row opens (else it closes), in time order within its group.
    """
    open_before = np.append(False, opens[:-1] & (group[1:] == group[:-1]))[: len(opens)]
    starts = np.flatnonzero(opens & ~open_before)
    ends = np.flatnonzero(~opens & open_before)
    following = np.append(ends, len(opens))[np.searchsorted(ends, starts)]
    return starts, np.where(following < np.append(starts[1:], len(opens)), following, -1)


def ordinal(group: Ints) -> Ints:
    """Return how many rows of its group stand before each row: int64, shape (n,). ``group`` is sorted."""
    return np.arange(len(group)) - np.searchsorted(group, group)
