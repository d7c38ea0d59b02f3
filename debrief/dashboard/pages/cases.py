"""The cases that are kept: found by rhythm, lesson, difficulty; approved, replayed, handed on, taken in."""

import re
from typing import Any
from urllib.parse import parse_qsl

from dash import Dash, Input, Output, ctx, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.cases.listed import APPROVED, REMOVED, listed
from debrief.dashboard.markup import tag, to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shell import PARTS
from debrief.errors import DebriefError
from debrief.teaching import kept
from debrief.words import say

ADDRESS = re.compile(r"/cases")
LIST = "cases"
STATUS = "cases-status"
Said = dict[str, Any]


def layout(reports: Reports, search: str) -> Component:
    """Return the page."""
    return shell.framed(
        html.H1(say("cases.page")),
        html.P(say("cases.lead"), className="lead"),
        html.P(id=STATUS, role="status", className="status bad"),
        html.Div(_list(reports, dict(parse_qsl(search.removeprefix("?")))), id=LIST),
        _taking_in(),
        shell.store(APPROVED),
        shell.store(REMOVED),
        kind="cases-page",
    )


def _list(reports: Reports, wanted: dict[str, str]) -> Any:  # noqa: ANN401 - HTML as dash takes it
    held = list(kept.kept(reports.shelf.registry)) if reports.shelf.kept else []
    return listed(held, wanted)


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
    """Add the callback that approves a case or takes one out."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Output(STATUS, "children"),
        Input(APPROVED, "data"),
        Input(REMOVED, "data"),
        prevent_initial_call=True,
    )
    def change(approved: Said | None, removed: Said | None) -> tuple[object, str]:
        try:
            if ctx.triggered_id == APPROVED and approved:
                kept.approve(reports.shelf.registry, approved["said"]["name"], approved["said"]["role"])
            elif ctx.triggered_id == REMOVED and removed:
                kept.remove(reports.shelf.registry, removed["value"])
            else:
                return no_update, no_update
        except DebriefError as error:
            return no_update, str(error)
        return {LIST: to_html(_list(reports, {}))}, ""
