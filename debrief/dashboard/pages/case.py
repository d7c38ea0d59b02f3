"""A case made of an event: what it says, where it stops to ask, which notes go in, what is left out."""

import re
from typing import Any

from dash import Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.addresses import event_in
from debrief.dashboard.cases import making
from debrief.dashboard.cases.listed import case_address
from debrief.dashboard.markup import to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shell import PARTS, URL
from debrief.errors import DebriefError
from debrief.teaching import kept
from debrief.teaching.case import pointed_out
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/case")
STATUS = "case-status"
FORM = "case-form"


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the page."""
    reports.get(event_id)  # what cannot be measured is told in place of the page
    return shell.framed(
        html.P(say("cases.make_lead"), className="lead"),
        html.Div(id=FORM),
        html.Div(id=STATUS, role="status", className="status"),
        shell.store(making.MADE),
        kind="case",
        invented=reports.invented(event_id),
        header=shell.event_top(say("cases.make"), reports.shelf.folder(event_id), event_id, "case"),
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callbacks that fill the page, and that keep a case."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(STATUS, "id"),
        State(URL, "pathname"),
        prevent_initial_call="initial_duplicate",
    )
    def fill(_page: str, path: str) -> dict[str, str]:
        return {FORM: to_html([*making.form(reports, event_in(path))])}

    @app.callback(
        Output(STATUS, "children"),
        Input(making.MADE, "data"),
        State(URL, "pathname"),
        prevent_initial_call=True,
    )
    def keep(said: dict[str, Any] | None, path: str) -> object:
        if not said:
            return no_update
        try:
            name, case = making.made(reports, event_in(path), said["said"])
            kept.keep(reports.shelf.registry, name, case)
        except DebriefError as error:
            return html.P(str(error), className="bad")
        found = [html.P(say("case.looks_like", text=text, where=where)) for text, where in pointed_out(case)]
        return [
            html.P(
                [
                    say("cases.kept", name=name),
                    " ",
                    html.A(say("cases.replay"), href=case_address(name), target="_blank"),
                    " · ",
                    html.A(say("cases.to_cases"), href="/cases"),
                ]
            ),
            *found,
        ]
