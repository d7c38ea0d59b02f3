"""What an importer has to tell about rows, and how it becomes the problems that a user sees."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from debrief import words
from debrief.model.problems import Problem, problem

_MOST = 25


@dataclass(frozen=True)
class Notice:
    """Something to tell about a stretch of rows, before it becomes a problem that a user sees.

    Notices that say the same become one problem that lists all their places.
    """

    code: str
    place: str | None = None
    values: tuple[tuple[str, str], ...] = ()


def notice(code: str, place: str | None = None, **values: object) -> Notice:
    """Return a notice, its blanks as text."""
    return Notice(code, place, tuple((name, str(value)) for name, value in values.items()))


def where(place: str) -> str:
    """Return a row's place in words: ``line 14``, ``sheet Log row 14``."""
    sheet, _, row = place.rpartition("!")
    return f"sheet {sheet} row {row}" if sheet else f"line {row}"


def where_all(places: list[str], shown: int = 12) -> str:
    """Return several places in words, runs of them as ranges: ``lines 3, 7 to 9 and 4 more``."""
    if len(places) == 1:
        return where(places[0])
    sheet = places[0].rpartition("!")[0]
    runs: list[list[int]] = []
    for row in sorted({int(place.rpartition("!")[2]) for place in places}):
        if runs and row == runs[-1][1] + 1:
            runs[-1][1] = row
        else:
            runs.append([row, row])
    words = [f"{first} to {last}" if last > first else f"{first}" for first, last in runs]
    text = ", ".join(words[:shown]) + (f" and {len(words) - shown} more" if len(words) > shown else "")
    return f"sheet {sheet} rows {text}" if sheet else f"lines {text}"


def gather(notices: Iterable[Notice], source_id: str | None) -> tuple[Problem, ...]:
    """Return the problems of a source: notices that say the same become one that lists their places.

    Of one code at most ``_MOST`` are told apart; the places of all further ones stand together.
    """
    places: dict[tuple[str, tuple[tuple[str, str], ...]], list[str]] = {}
    apart = Counter[str]()
    rest: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {}
    for each in notices:
        key = (each.code, each.values)
        if key not in places and apart[each.code] == _MOST:
            others = tuple((name, f"{value} ...") for name, value in each.values)
            key = rest.setdefault(each.code, (each.code, others))
        elif key not in places:
            apart[each.code] += 1
        found = places.setdefault(key, [])
        if each.place is not None:
            found.append(each.place)
    return tuple(
        problem(code, source_id, where_all(found) if found else None, **dict(values))
        for (code, values), found in places.items()
    )


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
    """What there is to tell and to ask about rows that stand at ``places``."""

    places: Sequence[str]
    notices: list[Notice] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    def tell(self, code: str, row: int | None = None, **values: object) -> None:
        """Tell of one row, or of all."""
        self.notices.append(notice(code, None if row is None else self.places[row], **values))

    def ask(self, key: str, assumed: str, *choices: str) -> None:
        """Ask a question, its words and those of its choices taken from the language table."""
        named = tuple(Choice(value, words.say(f"importing.choice_{value}")) for value in choices)
        self.questions.append(Question(key, words.say(f"importing.ask_{key}"), named, assumed))
