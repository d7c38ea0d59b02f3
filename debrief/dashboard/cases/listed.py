"""The cases that are kept, as a list to choose from; two of them to be seen beside each other."""

from collections.abc import Iterable, Mapping, Sequence
from urllib.parse import quote

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.markup import Part, tag
from debrief.model.times import clock
from debrief.picture.captions import rhythm_words
from debrief.teaching.approval import roles
from debrief.teaching.case import DIFFICULTIES
from debrief.teaching.kept import KeptCase
from debrief.words import say

APPROVED = "case-approved"
REMOVED = "case-removed"
ORDERS = ("name", "length")


def case_address(name: str, more: str = "") -> str:
    """Return where a case is replayed, or what else there is of it."""
    return f"/case/{quote(name, safe='')}{more}"


def rhythm_of(one: KeptCase) -> str:
    """Return the first rhythm of a case, empty where it has none."""
    first = one.case.report["first_rhythm"]
    return first["rhythm"] if first else ""


def chosen(cases: Iterable[KeptCase], wanted: Mapping[str, str]) -> list[KeptCase]:
    """Return the cases that fit: of a ``rhythm``, a ``lesson``, a ``difficulty``; ``order`` as `ORDERS`."""
    found = [
        one
        for one in cases
        if wanted.get("rhythm", "") in ("", rhythm_of(one))
        and wanted.get("lesson", "") in ("", *one.case.lessons)
        and wanted.get("difficulty", "") in ("", one.case.difficulty)
    ]
    if wanted.get("order") == "length":
        found.sort(key=lambda one: one.case.report["end"]["time"])
    return found


def listed(cases: Sequence[KeptCase], wanted: Mapping[str, str]) -> list[Component]:
    """Return the choice of cases, those that fit, and the way to two at once."""
    shown = chosen(cases, wanted)
    return [
        _choice(cases, wanted),
        html.Ul([_item(one) for one in shown], className="cases")
        if shown
        else html.P(say("cases.none_fit" if cases else "cases.none")),
        *([_beside(cases)] if len(cases) > 1 else []),
    ]


def _choice(cases: Sequence[KeptCase], wanted: Mapping[str, str]) -> Component:
    rhythms = sorted({rhythm_of(one) for one in cases} - {""})
    lessons = sorted({lesson for one in cases for lesson in one.case.lessons})
    levels: list[tuple[str, str]] = [(one, say(f"cases.difficulty_{one}")) for one in DIFFICULTIES if one]
    choices: list[tuple[str, list[tuple[str, str]]]] = [
        ("rhythm", [(name, rhythm_words(name)) for name in rhythms]),
        ("lesson", [(name, name) for name in lessons]),
        ("difficulty", levels),
    ]
    fields = [_select(name, [("", say("pages.any")), *found], wanted) for name, found in choices]
    fields.append(_select("order", [(name, say(f"cases.order_{name}")) for name in ORDERS], wanted))
    return html.Form(
        [*fields, html.Button(say("cases.show"), type="submit")],
        method="get",
        action="/cases",
        className="fields",
        **{"aria-label": say("cases.choose")},
    )


def _select(name: str, choices: Sequence[tuple[str, str]], wanted: Mapping[str, str]) -> Component:
    return shell.field(say(f"cases.by_{name}"), shell.select(choices, wanted.get(name, ""), name=name))


def _item(one: KeptCase) -> Component:
    stands = one.stands()
    facts = [
        clock(one.case.report["end"]["time"]),
        rhythm_words(rhythm_of(one)) if rhythm_of(one) else say("cases.no_rhythm"),
        say("cases.so_many_stops", count=len(one.case.questions)),
        *([say(f"cases.difficulty_{one.case.difficulty}")] if one.case.difficulty else []),
        *one.case.lessons,
        *([say("pages.invented")] if one.case.invented else []),
        *([say("case.elsewhere")] if one.case.elsewhere else []),
    ]
    return html.Li(
        [
            html.H2(html.A(one.case.called, href=case_address(one.name), target="_blank")),
            html.P(" · ".join(facts), className="note"),
            html.P([html.Strong(say(f"teaching.standing_{stands}")), " ", one.role]),
            _acts(one, stands == "approved"),
        ]
    )


def _acts(one: KeptCase, approved: bool) -> Component:
    """Return what can be done with a case: approved, taken as files, taken out."""
    choices = [("", say("pages.choose")), *roles().items()]
    approving = html.Form(
        [
            tag("input", type="hidden", value=one.name, data_answer="name"),
            shell.field(say("cases.by_role"), shell.select(choices, "", **{"data-answer": "role"})),
            html.Button(say("cases.approve"), type="submit"),
        ],
        className="fields",
        **{"data-submits": APPROVED, "aria-label": say("cases.approve_one", case=one.case.called)},
    )
    links: list[Part] = [html.A(say("cases.file"), href=case_address(one.name, ".html"))]
    if approved:
        links += [" ", html.A(say("cases.hand_on"), href=case_address(one.name, ".json"))]
    remove = html.Button(
        say("cases.remove"),
        type="button",
        className="plain",
        **{
            "data-set": REMOVED,
            "data-value": one.name,
            "data-sure": say("cases.sure", case=one.case.called),
            "aria-label": say("cases.remove_one", case=one.case.called),
        },
    )
    return html.Div([None if approved else approving, html.P([*links, " ", remove], className="go")])


def _beside(cases: Sequence[KeptCase]) -> Component:
    """Return the form that opens two cases beside each other."""
    choices = [(one.name, one.case.called) for one in cases]
    return html.Form(
        [
            html.H2(say("cases.beside")),
            html.Div(
                [
                    shell.field(say("cases.one"), shell.select(choices, cases[0].name, name="one")),
                    shell.field(say("cases.other"), shell.select(choices, cases[1].name, name="other")),
                    html.Button(say("cases.open_both"), type="submit"),
                ],
                className="fields",
            ),
        ],
        method="get",
        action="/case-beside",
        **{"aria-label": say("cases.beside")},
    )
