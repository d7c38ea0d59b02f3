"""From files to one event: text files, workbooks, and folders with an event.json.

``IMPORTERS`` lists the kinds of file. ``read_event`` reads one event, ``find_events`` tells which events a
path holds, and ``understand`` shows how a file is understood, for somebody to check and answer.
"""

from debrief.importers.finding import Found, find_events
from debrief.importers.joining import read_event
from debrief.importers.mapping import Answer, Mapping
from debrief.importers.opening import IMPORTERS
from debrief.importers.settings import Settings
from debrief.importers.understanding import Understanding, understand

__all__ = [
    "IMPORTERS",
    "Answer",
    "Found",
    "Mapping",
    "Settings",
    "Understanding",
    "find_events",
    "read_event",
    "understand",
]
