"""Short ways to put events on a shelf in tests."""

from debrief.dashboard.addresses import event_in
from debrief.dashboard.shelf import NO_BOUNDS
from debrief.dashboard.taking_in import take_in


def keep(shelf, *files, as_one=True):
    """Keep files ``(name, bytes)`` in the registry of a shelf and return the names of their events."""
    return [event_in(one.address) for one in take_in(shelf, files, as_one, NO_BOUNDS)]
