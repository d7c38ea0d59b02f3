"""The page on which an event is typed from a paper sheet; `dashboard/typed/` fills it."""

import re

from dash import Dash, html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.reports import Reports
from debrief.dashboard.typed import drafts, routes, second
from debrief.words import say

ADDRESS = re.compile(r"/type(?:/(?P<sheet>[ts][0-9a-f]{10}))?")


def layout(reports: Reports, search: str, sheet: str | None) -> Component:
    """Return the frame: the sheets to go on with where none is named, and the place of the one at hand."""
    begun = drafts.sheets(reports.shelf)
    again = second.event_of(reports.shelf, sheet) if sheet and sheet.startswith(second.LETTER) else None
    return shell.framed(
        html.P(
            say("agreement.lead", event=reports.shelf.title(again)) if again else say("typing.lead"),
            className="lead",
        ),
        _others([one for one in begun if one[0] != sheet], another=sheet is not None),
        html.Div(
            html.P(say("typing.loading"), className="note"),
            id="typed-page",
            **({"data-sheet": sheet} if sheet else {}),
        ),
        kind="typing",
        header=shell.top(html.Div(html.H1(say("typing.title")), className="what")),
    )


def _others(begun: list[tuple[str, str, bool]], another: bool) -> Component | None:
    """Return the way to other sheets, folded."""
    if not begun and not another:
        return None
    links = [
        html.Li(
            [
                html.A(called, href=f"/type/{name}"),
                html.Span(say("typing.is_event"), className="note") if is_event else None,
            ]
        )
        for name, called, is_event in begun
    ]
    new = [html.Li(html.A(say("typing.another"), href="/type"))] if another else []
    return html.Details([html.Summary(say("typing.go_on")), html.Ul([*new, *links], className="rows")])


def register(app: Dash, reports: Reports) -> None:
    """Add the addresses that the script of the page asks."""
    routes.register(app.server, reports)
