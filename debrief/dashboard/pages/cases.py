"""The cases that are kept: found by rhythm, lesson, difficulty; approved, replayed, handed on, taken in."""

import re
from typing import Any
from urllib.parse import parse_qsl

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.cases.listed import APPROVED, REMOVED, listed
from debrief.dashboard.markup import tag, to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shell import PARTS, URL
from debrief.errors import DebriefError
from debrief.teaching import kept
from debrief.words import say

ADDRESS = re.compile(r"/cases")
LIST = "cases"
STATUS = "cases-status"
TAKING_IN = "case-taking-in"
Said = dict[str, Any]


def layout(reports: Reports, search: str) -> Component:
    """Return the page."""
    return shell.framed(
        html.H1(say("cases.page")),
        html.P(say("cases.lead"), className="lead"),
        html.P(id=STATUS, role="status", className="status bad"),
        html.Div(id=LIST),
        html.Div(id=TAKING_IN),
        shell.store(APPROVED),
        shell.store(REMOVED),
        kind="cases-page",
    )


def said(reports: Reports, search: str) -> dict[str, str]:
    """Return the list that an address asks for, as HTML by the part's id."""
    held = list(kept.kept(reports.shelf.registry)) if reports.shelf.kept else []
    return {LIST: to_html([*listed(held, dict(parse_qsl(search.removeprefix("?"))))])}


def _taking_in() -> Component:
    """Return the form that takes in a case of another site; the script of the page sends it."""
    return html.Details(
        [
            html.Summary(say("cases.take_in")),
            html.Form(
                [
                    shell.field(say("cases.name"), shell.text("name")),
                    shell.field(
                        say("cases.its_file"), tag("input", type="file", accept=".json", data_case="file")
                    ),
                    html.Button(say("cases.take"), type="submit"),
                    html.P(role="status", className="status bad"),
                ],
                className="fields",
                **{"data-takes": "case", "aria-label": say("cases.take_in")},
            ),
        ]
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callbacks that fill the page, and that approve a case or take one out."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(STATUS, "id"),
        State(URL, "search"),
        prevent_initial_call="initial_duplicate",
    )
    def fill(_page: str, search: str) -> dict[str, str]:
        return said(reports, search or "") | {TAKING_IN: to_html(_taking_in())}

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Output(STATUS, "children"),
        Input(APPROVED, "data"),
        Input(REMOVED, "data"),
        State(URL, "search"),
        prevent_initial_call=True,
    )
    def change(approved: Said | None, removed: Said | None, search: str) -> tuple[object, str]:
        try:
            if ctx.triggered_id == APPROVED and approved:
                kept.approve(reports.shelf.registry, approved["said"]["name"], approved["said"]["role"])
            elif ctx.triggered_id == REMOVED and removed:
                kept.remove(reports.shelf.registry, removed["value"])
            else:
                return no_update, no_update
        except DebriefError as error:
            return no_update, str(error)
        return said(reports, search or ""), ""
