"""A case made of an event on a page: what it is to say, where it stops, which notes go in."""

from collections.abc import Mapping, Sequence

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address
from debrief.dashboard.markup import tag
from debrief.dashboard.reports import Reports
from debrief.errors import BadSetting
from debrief.model.times import clock
from debrief.teaching.case import DIFFICULTIES, Case, Difficulty
from debrief.teaching.copy import TeachingCopy, teaching_copy
from debrief.teaching.notes import Note, notes_of
from debrief.teaching.questions import Question, moment_of, suggested
from debrief.teaching.rarity import rarity
from debrief.teaching.telling import removed_text
from debrief.words import say

MADE = "case-made"
MORE_QUESTIONS = 2
"""Empty places for questions of one's own, beside those that are suggested."""
BETWEEN = " | "
"""What stands between the choices of a question as they are typed."""


def form(reports: Reports, event_id: str) -> list[Component]:
    """Return the form, and what a case of this event would leave out and keep."""
    copy = teaching_copy(reports.get(event_id).report)
    asks, notes = suggested(copy.report), _notes(reports, event_id)
    empty = [Question(0.0, "")] * MORE_QUESTIONS
    places = [_question(number, one) for number, one in enumerate([*asks, *empty])]
    risk = [html.P(rarity(reports.shelf.registry, copy.report))] if reports.shelf.kept else []
    told = html.Pre(removed_text(copy), tabIndex="0", **{"aria-label": say("cases.removed")})
    replay = event_address(event_id, "replay")
    return [
        html.P(html.A(say("cases.replay_now"), href=replay, target="_blank")),
        html.Form(
            [
                html.Div(_about(), className="fields"),
                html.H2(say("cases.stops")),
                html.P(say("cases.stops_note"), className="note"),
                *places,
                *(
                    [html.H2(say("cases.notes")), html.P(say("cases.notes_note"), className="note")]
                    if notes
                    else []
                ),
                *(_note(number, one) for number, one in enumerate(notes)),
                html.P(html.Button(say("cases.keep"), type="submit")),
            ],
            className="making",
            **{"data-submits": MADE, "aria-label": say("cases.make")},
        ),
        html.Details([html.Summary(say("cases.removed")), *risk, told]),
    ]


def as_it_is(reports: Reports, event_id: str) -> Case:
    """Return the case of an event with what the figures suggest, and nothing of anybody's own."""
    copy = teaching_copy(reports.get(event_id).report)
    return Case(copy.report, questions=tuple(suggested(copy.report)), invented=reports.invented(event_id))


def made(reports: Reports, event_id: str, said: Mapping[str, str]) -> tuple[str, Case]:
    """Return the name of a case and the case, as a form of the page says it.

    Raises
    ------
    BadSetting
        Where it has no name, or a question cannot be placed.
    """
    asks = suggested(teaching_copy(reports.get(event_id).report).report)
    notes = _notes(reports, event_id)
    passed = {
        note.mark: said.get(f"note-{number}", "").strip()
        for number, note in enumerate(notes)
        if said.get(f"pass-{number}") == "yes" and said.get(f"note-{number}", "").strip()
    }
    copy: TeachingCopy = teaching_copy(reports.get(event_id).report, passed_notes=passed)
    name = said.get("name", "").strip()
    if not name:
        raise BadSetting(say("cases.no_name"))
    questions = [
        _asked(said, number, copy, asks)
        for number in range(len(asks) + MORE_QUESTIONS)
        if said.get(f"keep-{number}") == "yes" and said.get(f"prompt-{number}", "").strip()
    ]
    difficulty: Difficulty = next((one for one in DIFFICULTIES if one == said.get("difficulty")), "")
    return name, Case(
        copy.report,
        said.get("title", "").strip(),
        _several(said.get("goals", ""), ";"),
        tuple(sorted(questions, key=lambda one: one.at)),
        reports.invented(event_id),
        copy.notes,
        _several(said.get("lessons", ""), ","),
        difficulty,
    )


def _notes(reports: Reports, event_id: str) -> list[Note]:
    """Return the notes that could be passed: those of marks on the timeline."""
    measured = reports.get(event_id)
    on_it = {mark for one in measured.report["occurrences"] for mark in one["marks"]}
    return [one for one in notes_of(measured.event) if one.mark in on_it]


def _asked(said: Mapping[str, str], number: int, copy: TeachingCopy, asks: Sequence[Question]) -> Question:
    """Return a question as typed; where only the second shows, the moment that was suggested stands."""
    typed = said.get(f"at-{number}", "").strip()
    was = asks[number].at if number < len(asks) else None
    at = was if was is not None and typed == clock(was) else moment_of(typed, copy.report, say("cases.own"))
    choices = _several(said.get(f"choices-{number}", ""), BETWEEN.strip())
    texts = (said.get(f"{key}-{number}", "").strip() for key in ("prompt", "reveal", "presenter"))
    prompt, reveal, note = texts
    return Question(at, prompt, choices, reveal, note)


def _about() -> list[Component]:
    levels = [(one, say(f"cases.difficulty_{one or 'none'}")) for one in DIFFICULTIES]
    return [
        shell.field(say("cases.name"), shell.text("name")),
        shell.field(say("cases.title_of"), shell.text("title")),
        shell.field(say("cases.goals"), shell.text("goals")),
        shell.field(say("cases.lessons"), shell.text("lessons")),
        shell.field(say("cases.difficulty"), shell.select(levels, "", **{"data-answer": "difficulty"})),
    ]


def _question(number: int, one: Question) -> Component:
    own = not one.prompt
    title = say("cases.own") if own else f"{clock(one.at)} {one.prompt}"
    fields = [
        _yes_or_no(f"keep-{number}", say("cases.ask"), not own),
        shell.field(say("cases.at"), shell.text(f"at-{number}", "" if own else clock(one.at))),
        shell.field(say("cases.prompt"), _long(f"prompt-{number}", one.prompt)),
        shell.field(say("cases.choices"), _long(f"choices-{number}", BETWEEN.join(one.choices))),
        shell.field(say("cases.reveal"), _long(f"reveal-{number}", one.reveal)),
        shell.field(say("cases.presenter"), _long(f"presenter-{number}", one.note)),
    ]
    return html.Details([html.Summary(title), html.Div(fields, className="fields")])


def _note(number: int, note: Note) -> Component:
    found = ", ".join(one.text for one in note.found)
    return html.Div(
        [
            _yes_or_no(f"pass-{number}", say("cases.pass"), False),
            shell.field(say("cases.note_as"), _long(f"note-{number}", " ".join(note.text.split()))),
            html.P(say("cases.may_be", found=found), className="note") if found else None,
        ],
        className="fields",
    )


def _yes_or_no(name: str, words: str, yes: bool) -> Component:
    choices = [("yes", say("typing.yes")), ("no", say("typing.no"))]
    return shell.field(words, shell.select(choices, "yes" if yes else "no", **{"data-answer": name}))


def _long(name: str, value: str) -> Component:
    return tag(
        "input", type="text", value=value, data_answer=name, maxlength="2000", autocomplete="off", size="48"
    )


def _several(text: str, sign: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(sign) if part.strip())
