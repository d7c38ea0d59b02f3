"""Problems: what is wrong or odd in the data, as values that the user sees.

A problem has a stable code, a place and a remedy. Its words stand in ``words/english/problems.toml``
under its code; its severity stands there in front of the words (``note``, ``check`` or ``blocking``).
"""

from dataclasses import dataclass
from typing import Literal, cast

from debrief import words

Severity = Literal["note", "check", "blocking"]
SEVERITIES: tuple[Severity, ...] = ("note", "check", "blocking")


@dataclass(frozen=True)
class Problem:
    """Something wrong or odd in the data.

    ``place`` is where it stands in the source's file (``line 14``, ``sheet Log row 3``), or empty.
    """

    code: str
    severity: Severity
    message: str
    source_id: str | None = None
    place: str | None = None


def problem(code: str, source_id: str | None = None, place: str | None = None, **values: object) -> Problem:
    """Make the problem of that code, its blanks filled in.

    Raises
    ------
    KeyError
        Where the code has no words: a mistake in the code, found by a test.
    """
    severity, _, text = words.sentences()[f"problems.{code}"].partition(": ")
    return Problem(code, cast(Severity, severity), text.format(**values), source_id, place)
