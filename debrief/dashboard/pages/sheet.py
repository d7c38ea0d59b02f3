"""The sheet of an event, seen on screen before it is printed."""

import re
from urllib.parse import parse_qs, urlencode

from dash import Dash, html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.pages.event import asked
from debrief.dashboard.reports import Reports
from debrief.dashboard.sheets import paper_named
from debrief.picture.sentences import summary_line
from debrief.reports.sheet import PAPERS
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/sheet")


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the page: which paper, the way to the PDF, and how it looks."""
    edition = asked(search).edition
    measured = reports.get(event_id, edition)
    chosen = paper_named(next(iter(parse_qs(search.removeprefix("?")).get("paper", [])), None))
    here = f"/event/{event_id}/sheet"

    asking = {
        paper: "?" + urlencode({"paper": paper} | ({"edition": edition} if edition else {}))
        for paper in PAPERS
    }
    return shell.framed(
        html.P(
            [
                html.A(say("sheet.download"), href=f"{here}.pdf{asking[chosen]}", className="main"),
                html.Span(
                    [
                        html.A(
                            say(f"sheet.{paper}"),
                            href=here + query,
                            **({"aria-current": "true"} if paper == chosen else {}),
                        )
                        for paper, query in asking.items()
                    ],
                    className="papers",
                ),
            ],
            className="go",
        ),
        html.P(say("sheet.seen_first"), className="note"),
        html.Img(
            src=f"{here}.png{asking[chosen]}",
            alt=say("sheet.picture", event=measured.name, paper=say(f"sheet.{chosen}")),
        ),
        kind="sheet",
        invented=reports.invented(event_id),
        header=shell.top(
            html.Div([html.H1(measured.name), html.P(summary_line(measured.report))], className="what"),
            links=shell.event_links(event_id, "sheet"),
        ),
    )


def register(app: Dash, reports: Reports) -> None:
    """Add nothing: the page only shows."""
