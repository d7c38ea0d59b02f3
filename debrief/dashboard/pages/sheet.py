"""The sheet of an event, seen on screen before it is printed."""

import re
from collections.abc import Iterable
from urllib.parse import parse_qs, urlencode

from dash import Dash, html
from dash.development.base_component import Component

from debrief import targets
from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address
from debrief.dashboard.pages.event import asked
from debrief.dashboard.reports import Reports
from debrief.dashboard.sheets import paper_named
from debrief.picture.sentences import summary_line
from debrief.reports.sheet import PAPERS
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/sheet")


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the page: the way to the PDF, whose targets and which paper, and how it looks."""
    measured = reports.get(event_id, asked(search).edition)
    edition = measured.report["edition"]
    paper = paper_named(next(iter(parse_qs(search.removeprefix("?")).get("paper", [])), None))
    here = event_address(event_id, "sheet")
    query = _query(paper, edition)
    return shell.framed(
        html.P(
            [
                html.A(say("sheet.download"), href=f"{here}.pdf{query}", className="main"),
                _choices((say(f"sheet.{one}"), here + _query(one, edition), one == paper) for one in PAPERS),
                _choices((one, here + _query(paper, one), one == edition) for one in targets.editions()),
            ],
            className="go",
        ),
        html.P(say("sheet.seen_first"), className="note"),
        html.Img(
            src=f"{here}.png{query}",
            alt=say("sheet.picture", event=measured.name, paper=say(f"sheet.{paper}")),
        ),
        kind="sheet",
        invented=reports.invented(event_id),
        header=shell.top(
            html.Div([html.H1(measured.name), html.P(summary_line(measured.report))], className="what"),
            links=shell.event_links(event_id, "sheet"),
        ),
    )


def _query(paper: str, edition: str) -> str:
    return "?" + urlencode({"paper": paper, "edition": edition})


def _choices(links: Iterable[tuple[str, str, bool]]) -> Component:
    """Return links of which one stands: its words, its address, whether it does."""
    return html.Span(
        [
            html.A(words, href=address, **({"aria-current": "true"} if stands else {}))
            for words, address, stands in links
        ],
        className="choices",
    )


def register(app: Dash, reports: Reports) -> None:
    """Add nothing: the page only shows."""
