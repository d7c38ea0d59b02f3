"""The page of a typed sheet as HTML: whom it is about, the grid with its keys, the places of the rest."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.markup import Part, tag
from debrief.dashboard.typed.drafts import ABOUT, CHOICES, MOST_ROWS, Draft
from debrief.dashboard.typed.pictures import MOST_PICTURE_BYTES
from debrief.importers.typed import COLUMNS
from debrief.picture.captions import known, rhythm_words
from debrief.words import say

TOOLS = (
    ("insert", "Ctrl Enter"),
    ("delete", "Ctrl Delete"),
    ("up", "Alt ↑"),
    ("down", "Alt ↓"),
    ("above", "Ctrl D"),
    ("usual", "F2"),
    ("undo", "Ctrl Z"),
    ("redo", "Ctrl Y"),
)
_KEYS = (
    ("Enter", "enter"),
    ("Tab", "tab"),
    ("↑ ↓", "arrows"),
    ("Ctrl Enter", "insert"),
    ("Ctrl Delete", "delete"),
    ("Alt ↑ ↓", "move"),
    ("Ctrl D", "above"),
    ("F2", "usual"),
    ("Ctrl Z, Ctrl Y", "undo"),
    ("Esc", "escape"),
)
_SAID = ("row", "row_short", "saved", "saving", "local", "pasted", "paste_cut", "picture_alt", "usual_none")
"""Sentences that the script fills in or shows."""


def page(draft: Draft, is_event: bool, again: bool = False) -> list[Part]:
    """Return the page: about the event, the grid with its keys, and the places of what grows beside it."""
    return [
        _about(draft),
        html.Div(
            [
                html.Button(say("typing.look_there"), type="button", id="typed-there"),
                html.Button(say("typing.keep_own"), type="button", id="typed-own"),
            ],
            id="typed-conflict",
            className="fields",
            hidden=True,
            **{"data-said": say("typing.outdated")},
        ),
        html.P(
            html.A(say("typing.take_along"), id="typed-file", download="typed.csv", href="#", hidden=True)
        ),
        html.Div(
            [
                _grid(),
                html.Section(
                    [html.H2(say("typing.timeline")), html.Div(id="typed-timeline", className="drawn")],
                    className="grown",
                ),
                html.Div([_picture(), *_told()], className="beside-grid"),
            ],
            className="typed",
        ),
        html.P(
            [
                html.Button(
                    say("agreement.done" if again else "typing.done_again" if is_event else "typing.done"),
                    type="button",
                    id="typed-done",
                    className="main",
                ),
                html.Span(say("agreement.done_note" if again else "typing.done_note"), className="note"),
                None
                if is_event
                else html.Button(
                    say("typing.remove"),
                    type="button",
                    id="typed-remove",
                    className="plain",
                    **{"data-sure": say("typing.remove_sure")},
                ),
            ],
            className="go",
        ),
        html.Ul(id="typed-choices", role="listbox", hidden=True, **{"aria-label": say("typing.choices")}),
        _keys(),
    ]


def _about(draft: Draft) -> Component:
    def choice(key: str, names: Sequence[tuple[str, str]]) -> Component:
        chosen = draft.about.get(key, "")
        return shell.select([("", say("typing.not_said")), *names], chosen, **{"data-about": key})

    def control(key: str) -> Part:
        if key == "population":
            return choice(key, [(one, known(f"head.population.{one}", one)) for one in CHOICES[key]])
        if key == "first_rhythm":
            return choice(key, [(one, rhythm_words(one)) for one in CHOICES[key]])
        if key in CHOICES:
            return choice(key, [(one, say(f"typing.{one}")) for one in CHOICES[key]])
        kind = "date" if key == "date" else "text"
        value = draft.about.get(key, "")
        return tag("input", type=kind, value=value, data_about=key, maxlength="120", autocomplete="off")

    elapsed = [("", say("typing.elapsed_no")), ("yes", say("typing.elapsed_yes"))]
    return html.Div(
        [
            html.H2(say("typing.about"), className="hidden"),
            *(shell.field(say(f"typing.about_{key}"), control(key)) for key in ABOUT),
            shell.field(
                say("typing.about_elapsed"),
                shell.select(elapsed, "yes" if draft.elapsed else "", **{"data-about": "elapsed"}),
            ),
            html.P(id="typed-refused", role="status", className="status bad"),
        ],
        className="fields about-typed",
    )


def _grid() -> Component:
    headings = ["number", *COLUMNS, "understood"]
    said = {f"data-{key.replace('_', '-')}": say(f"typing.{key}", **_blanks(key)) for key in _SAID}
    return html.Section(
        [
            html.Div(
                [
                    *(
                        html.Button(say(f"typing.{name}"), type="button", title=keys, **{"data-grid": name})
                        for name, keys in TOOLS
                    ),
                    html.Button(say("typing.keys"), type="button", **{"data-opens": "typed-keys"}),
                ],
                className="tools",
            ),
            html.Div(
                html.Table(
                    [
                        html.Thead(
                            html.Tr(
                                [
                                    html.Th(say(f"typing.col_{name}"), scope="col", className=name)
                                    for name in headings
                                ]
                            )
                        ),
                        html.Tbody(id="typed-rows", **said, **{"data-most": str(MOST_ROWS)}),
                    ],
                ),
                className="rows-typed",
                tabIndex="-1",
            ),
            html.Div(
                [
                    html.P(id="typed-hint", className="note", **{"aria-live": "polite"}),
                    html.P(id="typed-status", role="status", className="status"),
                ],
                className="under-rows",
            ),
        ],
        **{"aria-label": say("typing.grid")},
    )


def _blanks(key: str) -> dict[str, str]:
    """Return the blanks of a sentence as they are, for the script to fill in."""
    return {name: f"{{{name}}}" for name in ("row", "what", "rows", "most")}


def _picture() -> Component:
    turns = ("larger", "smaller", "fit", "turn")
    return html.Section(
        [
            html.H2(say("typing.picture")),
            html.P(
                say("typing.picture_note", most_mb=MOST_PICTURE_BYTES // 1_000_000),
                className="note",
                id="typed-picture-note",
            ),
            html.Div(
                [
                    tag(
                        "input",
                        type="file",
                        id="typed-picture-file",
                        className="hidden",
                        accept=".png,.jpg,.jpeg,.webp,.pdf",
                    ),
                    html.Label(
                        say("typing.picture_choose"), htmlFor="typed-picture-file", className="choose"
                    ),
                    *(
                        html.Button(
                            say(f"typing.picture_{turn}"), type="button", hidden=True, **{"data-view": turn}
                        )
                        for turn in turns
                    ),
                    html.Button(
                        say("typing.picture_remove"),
                        type="button",
                        hidden=True,
                        className="plain",
                        **{"data-view": "remove", "data-sure": say("typing.picture_sure")},
                    ),
                ],
                className="tools",
            ),
            html.Div(
                id="typed-picture",
                role="region",
                tabIndex="0",
                hidden=True,
                **{"aria-label": say("typing.picture")},
            ),
        ],
        id="typed-picture-section",
    )


def _told() -> list[Component]:
    return [
        html.Section([html.H2(say("typing.figures")), html.Div(id="typed-figures")]),
        html.Section([html.H2(say("typing.problems")), html.Div(id="typed-problems")]),
    ]


def _keys() -> Component:
    rows = [html.Tr([html.Td(html.Kbd(key)), html.Td(say(f"typing.key_{does}"))]) for key, does in _KEYS]
    return html.Dialog(
        [
            html.H2(say("typing.keys")),
            html.Table(html.Tbody(rows)),
            html.Button(say("typing.close"), type="button", **{"data-closes": ""}),
        ],
        id="typed-keys",
        **{"aria-label": say("typing.keys")},
    )
