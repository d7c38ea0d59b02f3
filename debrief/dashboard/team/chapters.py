"""The talk itself: five chapters, each with its questions, themes to tick and room for notes."""

from collections.abc import Sequence
from dataclasses import dataclass

from dash import html
from dash.development.base_component import Component

from debrief.dashboard.markup import Part, tag
from debrief.talk.changes import MOST_IN_FIELD, MOST_LETTERS, SECTIONS, THEMED, THEMES
from debrief.talk.kept import Meeting, Present
from debrief.talk.names import likely_names
from debrief.words import said_in, say, sentences

HERE = "team-here"


@dataclass(frozen=True)
class Chapter:
    """One chapter of the talk, and how many minutes it might take."""

    name: str
    minutes: int

    @property
    def title(self) -> str:
        """What the chapter is called."""
        return say(f"talk.chapter.{self.name}")


CHAPTERS = (
    Chapter("facts", 2),
    Chapter("went_well", 2),
    Chapter("change", 3),
    Chapter("actions", 2),
    Chapter("support", 1),
)
"""Ten minutes in all: about what talks right after an event took where that was counted (see the guide)."""


def names_part(section: str) -> str:
    """Return where names that were typed into a note are pointed out."""
    return f"team-names-{section}"


def chapters(actions: Part) -> list[Part]:
    """Return the chapters; what was written comes into them from the state of the talk."""
    return [_chapter(number, chapter, actions) for number, chapter in enumerate(CHAPTERS, start=1)]


def _chapter(number: int, chapter: Chapter, actions: Part) -> Component:
    name = chapter.name
    last = number == len(CHAPTERS)
    return html.Section(
        [
            html.H2([html.Span(str(number), className="number"), chapter.title], tabIndex="-1"),
            html.Ul([html.Li(text) for text in _prompts(name)], className="prompts"),
            _themes(name) if name in THEMED else None,
            _note(name) if name in SECTIONS else None,
            html.Div(id=HERE) if name == "facts" else None,
            actions if name == "actions" else None,
            None
            if last
            else html.Button(
                say("talk.next", chapter=CHAPTERS[number].title),
                type="button",
                className="next",
                **{"data-chapter": CHAPTERS[number].name},
            ),
        ],
        id=f"chapter-{name}",
        hidden=number > 1,
        className="chapter",
        **{"aria-label": chapter.title},
    )


def _prompts(name: str) -> list[str]:
    return [text for key, text in sentences().items() if key.startswith(f"talk.prompt.{name}.")]


def _themes(section: str) -> Component:
    return html.Fieldset(
        [
            html.Legend(say("talk.themes"), className="hidden"),
            *(
                html.Label(
                    [
                        tag("input", type="checkbox", data_theme=theme, data_section=section),
                        html.Span(say(f"talk.theme.{theme}")),
                    ]
                )
                for theme in THEMES
            ),
        ],
        className="themes",
    )


def _note(section: str) -> Component:
    return html.Div(
        [
            html.Label(say("talk.notes"), htmlFor=f"note-{section}"),
            html.Textarea(
                id=f"note-{section}",
                rows=4,
                maxLength=MOST_LETTERS["text"],
                **{"data-note": section, "dir": "auto", "aria-describedby": names_part(section)},
            ),
            html.Div(id=names_part(section), className="names", role="status"),
        ],
        className="notes",
    )


def names(text: str, roles: str = "") -> list[Part]:
    """Return what in sentences and roles looks like it names somebody, with a word on it; else nothing."""
    found = [*likely_names(text), *likely_names(roles, sentences=False)]
    if not found:
        return []
    quoted: list[Part] = []
    for one in found:
        quoted += [", " if quoted else "", html.Q(one.text, dir="auto")]
    return [html.P([say("talk.names"), " ", *quoted])]


def here(meeting: Meeting) -> list[Part]:
    """Return who was there, by role and number, and a line for one more."""
    rows = [
        html.Li(
            [
                html.Span(so_many(one), dir="auto"),
                html.Span(say("talk.arrived_at", time=one.arrived), className="note")
                if one.arrived
                else None,
                html.Button(
                    say("talk.remove"),
                    type="button",
                    className="plain",
                    **{
                        "data-turn": "not_here",
                        "data-value": one.id,
                        "aria-label": say("talk.remove_role", role=one.role),
                    },
                ),
            ]
        )
        for one in meeting.here.values()
    ]
    return [
        html.H3(say("talk.here")),
        html.Ul(rows, className="here") if rows else None,
        html.Div(names("", roles="\n".join(one.role for one in meeting.here.values())), className="names"),
        html.Form(
            [
                field("role", "talk.role", list="roles"),
                field("number", "talk.number", type="number", min="1", max="99", value="1"),
                field("arrived", "talk.arrived", placeholder=say("talk.arrived_example")),
                html.Button(say("talk.add"), type="submit"),
            ],
            className="add fields",
            **{"data-adds": "here"},
        ),
    ]


def so_many(one: Present) -> str:
    """Return a role with how many of it there were."""
    return say("talk.so_many", number=one.number, role=one.role) if one.number not in ("", "1") else one.role


def roles() -> Component:
    """Return the roles that are offered where one is asked for."""
    named = [key for key in said_in("english") if key.startswith("talk.role.")]
    return html.Datalist([html.Option(value=sentences()[key]) for key in named], id="roles")


def field(name: str, words: str, **attributes: str) -> Component:
    """Return a labelled field of a form whose line becomes a change."""
    given = {
        "type": "text",
        "maxlength": str(MOST_IN_FIELD),
        "autocomplete": "off",
        "dir": "auto",
    } | attributes
    return html.Label([html.Span(say(words)), tag("input", data_answer=name, **given)], className="field")


def spine() -> Component:
    """Return the talk's own spine: its chapters, as long as they might take, and how far the clock is."""
    whole = sum(chapter.minutes for chapter in CHAPTERS)
    return html.Nav(
        [
            html.Button(say("talk.start"), type="button", id="team-clock", **_clock_words()),
            html.Div(
                [
                    html.Div(html.I(id="team-elapsed"), className="ribbon", **{"aria-hidden": "true"}),
                    html.Ol(
                        [_stop(number, one, whole) for number, one in enumerate(CHAPTERS, start=1)],
                    ),
                ],
                className="way",
            ),
            html.Output("0:00", id="team-time", **{"aria-live": "off", "aria-label": say("talk.elapsed")}),
        ],
        className="talk-spine",
        **{"aria-label": say("talk.chapters"), "data-whole": str(whole * 60)},
    )


def _clock_words() -> dict[str, str]:
    keys: Sequence[str] = ("start", "pause", "go_on")
    return {f"data-{key.replace('_', '-')}": say(f"talk.{key}") for key in keys}


def _stop(number: int, chapter: Chapter, whole: int) -> Component:
    first = {"aria-current": "step"} if number == 1 else {}
    return html.Li(
        html.Button(
            [
                html.Span(f"{number} {chapter.title}"),
                html.Span(say("talk.minutes", minutes=chapter.minutes), className="minutes"),
            ],
            type="button",
            className="plain",
            **{"data-chapter": chapter.name},
            **first,
        ),
        style={"flexGrow": str(chapter.minutes), "flexBasis": f"{100 * chapter.minutes / whole:.1f}%"},
    )
