"""What can stop the work.

A problem in the data is a value (``debrief.model.problems``); these are for what cannot go on::

    DebriefError
    ├── UnreadableFile       a file cannot be read at all
    ├── NothingMeasurable    all was read and nothing can be measured
    ├── NotKept              what somebody wrote cannot be kept
    ├── CutShort             work was ended from outside; what is done is kept
    └── BadSetting           an option, a target file or an event.json says what cannot be
"""


class DebriefError(Exception):
    """Base of all errors that a user can mend. The message says where, what was read, what to write."""


class UnreadableFile(DebriefError):
    """A file cannot be read: missing, empty, binary, claimed by two importers, without a time column."""


class NothingMeasurable(DebriefError):
    """The files were read, and no mark in them can be placed in time."""


class NotKept(DebriefError):
    """What somebody wrote on a page cannot be written to its folder: read-only, full, gone."""


class CutShort(DebriefError):
    """Work on many events was ended from outside. What is done is kept, and the same again goes on."""


class BadSetting(DebriefError):
    """An option, a target file or an event.json says something that cannot be."""
