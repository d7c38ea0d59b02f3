"""What an importer has to tell about rows, and how it becomes the problems that a user sees."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from debrief import words
from debrief.importers.places import Places
from debrief.model.axis import Bools, Ints
from debrief.model.columns import Repeated
from debrief.model.problems import Problem, problem

_MOST = 25


@dataclass(frozen=True)
class Notice:
    """Something to tell about some rows, or about all of a file, before it becomes a problem.

    ``place`` is of rows, or a text such as ``column time``. Notices of rows that say the same become one
    problem that lists their places.
    """

    code: str
    place: Places | str | None = None
    values: tuple[tuple[str, str], ...] = ()


def notice(code: str, place: Places | str | None = None, **values: object) -> Notice:
    """Return a notice, its blanks as text."""
    return Notice(code, place, tuple((name, str(value)) for name, value in values.items()))


def column_place(name: str) -> str:
    """Return the place of a problem with a whole column."""
    return f"column {name}"


def gather(notices: Iterable[Notice], source_id: str | None) -> tuple[Problem, ...]:
    """Return the problems of a source: notices that say the same become one that lists their places.

    Of one code at most ``_MOST`` are told apart; the places of all further ones stand together.
    """
    places: dict[tuple[str, tuple[tuple[str, str], ...]], list[Places | str | None]] = {}
    apart = Counter[str]()
    rest: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {}
    for each in notices:
        key = (each.code, each.values)
        if key not in places and apart[each.code] == _MOST:
            others = tuple((name, f"{value} ...") for name, value in each.values)
            key = rest.setdefault(each.code, (each.code, others))
        elif key not in places:
            apart[each.code] += 1
        places.setdefault(key, []).append(each.place)
    return tuple(
        problem(code, source_id, _text(found), **dict(values)) for (code, values), found in places.items()
    )


def _text(found: list[Places | str | None]) -> str | None:
    """Return several places as one text; those of rows stand before all others."""
    rows = [place for place in found if isinstance(place, Places)]
    if not rows:
        return next((place for place in found if isinstance(place, str)), None)
    columns = [place.column for place in rows if place.column is not None]
    return Places(
        rows[0].prefix,
        np.concatenate([place.number for place in rows]),
        np.concatenate(columns) if len(columns) == len(rows) else None,
    ).text()


@dataclass(frozen=True)
class Choice:
    """One answer to a question, with what it says to a reader."""

    value: str
    text: str


@dataclass(frozen=True)
class Question:
    """What the file leaves open. ``assumed`` is the answer that was taken until somebody gives one."""

    key: str
    text: str
    choices: tuple[Choice, ...]
    assumed: str | None


@dataclass
class Told:
    """What there is to tell and to ask about rows that stand at ``places``, in a column of that name."""

    places: Places
    column: str = ""
    notices: list[Notice] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    def tell(self, code: str, rows: int | Ints | Bools | None = None, **values: object) -> None:
        """Tell of one row, of several, or of the whole column."""
        place = column_place(self.column) if rows is None else self.places.take(np.atleast_1d(rows))
        self.notices.append(notice(code, place, **values))

    def tell_each(self, code: str, rows: Bools, texts: Repeated[str], **values: object) -> None:
        """Tell of rows what is written in each, those that hold the same text together."""
        chosen = np.flatnonzero(rows)
        codes, first = np.unique(texts.codes[chosen], return_index=True)
        order = codes[np.argsort(first)].tolist()
        for number, text in enumerate(order[: _MOST + 1]):
            told = np.isin(texts.codes[chosen], [text] if number < _MOST else order[_MOST:])
            self.tell(code, chosen[told], read=texts.values[text], **values)

    def ask(self, key: str, assumed: str, *choices: str) -> None:
        """Ask a question, its words and those of its choices taken from the language table."""
        named = tuple(Choice(value, words.say(f"importing.choice_{value}")) for value in choices)
        self.questions.append(Question(key, words.say(f"importing.ask_{key}"), named, assumed))
