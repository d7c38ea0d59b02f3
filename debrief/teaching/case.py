"""A case: what an educator makes of the teaching copy of an event, kept by the site and handed to others.

Kept, it is JSON with its approval; handed on, it is JSON with its digest and without a day. Either is
read by building the copy anew, so that nothing comes in that a copy would not hold.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal, cast, get_args

from debrief.errors import BadSetting
from debrief.model.contract import Report
from debrief.model.times import clock
from debrief.picture.captions import rhythm_words
from debrief.teaching.copy import PassedNote, teaching_copy
from debrief.teaching.identifiers import likely_identifiers, split_identifiers
from debrief.teaching.questions import MOST, MOST_LETTERS, Question, suggested
from debrief.words import say

FORMAT = "debrief-case-1"
"""What a case handed on begins with; the number is the version."""
MOST_BYTES = 50_000_000
"""A longer file is no case. [bytes]"""
MOST_GOALS = 20

Difficulty = Literal["", "first", "middle", "demanding"]
DIFFICULTIES: tuple[Difficulty, ...] = get_args(Difficulty)


@dataclass(frozen=True)
class Case:
    """What an educator makes of an event.

    ``report`` is its teaching copy, never the event itself; ``notes`` those that a reviewer passed;
    ``lessons`` what it can be found by; ``elsewhere``: it came from another site.
    """

    report: Report
    title: str = ""
    goals: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    invented: bool = False
    notes: tuple[PassedNote, ...] = ()
    lessons: tuple[str, ...] = ()
    difficulty: Difficulty = ""
    elsewhere: bool = False

    @property
    def called(self) -> str:
        """The title, or else the first rhythm and the length."""
        first = self.report["first_rhythm"]
        if self.title:
            return self.title
        if first is None:
            return say("case.no_title")
        return say(
            "case.title_of", rhythm=rhythm_words(first["rhythm"]), length=clock(self.report["end"]["time"])
        )

    @property
    def texts(self) -> tuple[str, ...]:
        """All that a person wrote into it; questions as the figures suggest them are none of it."""
        offered = suggested(self.report)
        own = (one for one in self.questions if one not in offered)
        asked = (text for one in own for text in (one.prompt, *one.choices, one.reveal, one.note))
        notes = (note.text for note in self.notes)
        return tuple(text for text in (self.title, *self.goals, *self.lessons, *notes, *asked) if text)

    @property
    def digest(self) -> str:
        """The SHA-256 of all that it holds; which version of the program wrote it does not count."""
        return hashlib.sha256(_canonical(content(self)).encode()).hexdigest()


def pointed_out(case: Case) -> list[tuple[str, str]]:
    """Return what looks like an identifier in the texts of a case, each with the text that it stands in."""
    found = [(one.text, text) for text in case.texts for one in likely_identifiers(text)]
    split = split_identifiers([note.text for note in case.notes])
    return [*found, *((one.text, say("case.over_notes")) for _, one in split)]


def content(case: Case) -> dict[str, Any]:
    """Return a case as JSON can hold it."""
    report = {key: value for key, value in case.report.items() if key != "software"}
    return json.loads(json.dumps(asdict(replace(case, report=cast(Report, report)))))  # type: ignore[no-any-return]


def case_of(held: Mapping[str, Any]) -> Case:
    """Return a case from what `content` gave.

    Raises
    ------
    BadSetting
        Where that is no case, or holds more than a teaching copy does.
    """
    try:
        report = cast(Report, {**held["report"], "software": ""})
        notes = tuple(
            PassedNote(str(row["mark"]), float(row["time"]), _text(row["text"])) for row in held["notes"]
        )
        copy = teaching_copy(report, passed_notes={note.mark: note.text for note in notes}).report
        questions = tuple(
            Question(
                float(row["at"]),
                _text(row["prompt"]),
                tuple(map(_text, row["choices"])),
                _text(row["reveal"]),
                _text(row["note"]),
            )
            for row in held["questions"]
        )
        case = Case(
            copy,
            _text(held["title"]),
            tuple(map(_text, held["goals"])),
            questions,
            bool(held["invented"]),
            notes,
            tuple(map(_text, held["lessons"])),
            held["difficulty"] if held["difficulty"] in DIFFICULTIES else "",
            bool(held["elsewhere"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, OverflowError) as error:
        raise BadSetting(say("case.no_case")) from error
    if len(questions) > MOST or len(case.goals) > MOST_GOALS or content(case) != {**held}:
        raise BadSetting(say("case.more_than_a_copy"))
    return case


def handed_on(case: Case) -> bytes:
    """Return a case as one file for another site: no day, no role, no name of this one."""
    held = content(replace(case, elsewhere=False))
    return _canonical({"format": FORMAT, "sha256": _digest(held), "case": held}).encode()


def taken_in(given: bytes) -> Case:
    """Return a case that another site handed on, as a draft here.

    Raises
    ------
    BadSetting
        Where it is none, was changed on its way, was made by a newer version or holds more than a copy.
    """
    if len(given) > MOST_BYTES:
        raise BadSetting(say("case.too_long", most=MOST_BYTES // 1_000_000))
    try:
        told = json.loads(given)
        form, digest, held = told["format"], told["sha256"], told["case"]
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise BadSetting(say("case.no_case")) from error
    if form != FORMAT:
        newer = isinstance(form, str) and form.startswith("debrief-case-")
        raise BadSetting(say("case.newer_case" if newer else "case.no_case", read=form))
    if not isinstance(held, dict) or _digest(held) != digest:
        raise BadSetting(say("case.changed_case"))
    return replace(case_of(held), elsewhere=True)


def _text(text: object) -> str:
    if not isinstance(text, str) or len(text) > MOST_LETTERS:
        raise ValueError(text)
    return text


def _digest(held: Mapping[str, Any]) -> str:
    return hashlib.sha256(_canonical(held).encode()).hexdigest()


def _canonical(value: object) -> str:
    return json.dumps(value, sort_keys=True, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
