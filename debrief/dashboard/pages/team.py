"""The page for the team: the timeline, what to talk about, the talk in chapters, where the seconds went."""

import re

from dash import Dash, Input, Output, State, html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.pages.event import asked, head
from debrief.dashboard.reports import Measured, Reports
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.steps import KEYS, keys
from debrief.dashboard.team import chapters, doings, routes
from debrief.dashboard.team.seconds import seconds
from debrief.picture.sentences import head_line, summary_line
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/team")

TEAM = "team"
_KEYS = (
    ("1 - 9", "point"),
    ("w", "whole"),
    ("n", "next"),
    ("b", "back"),
    ("s", "clock"),
    ("Alt ↑ ↓", "order"),
    ("?", "keys"),
)


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the frame of the page; what fills it comes as HTML."""
    wanted = asked(search)
    measured = reports.get(event_id, wanted.edition, wanted.beside)
    return shell.framed(
        html.P(className="head", id="team-head"),
        html.Section(
            html.Div(
                className="drawn", id="team-timeline", **{"data-drawing": f"/event/{event_id}/team-timeline"}
            ),
            **{"aria-label": say("pages.timeline_title")},
        ),
        html.Div(
            [
                html.Section(
                    [
                        html.H2(say("talk.points_title")),
                        html.Div(id="team-points"),
                        html.Div(id="team-seconds"),
                    ],
                    className="left",
                ),
                html.Section(id="team-talk", className="talk"),
            ],
            className="columns team-columns",
        ),
        html.Div(
            id="team-status",
            className="status",
            role="status",
            **{f"data-{key}": say(f"talk.{key}") for key in ("saved", "saving", "offline", "again", "file")},
        ),
        html.P(id="team-unread", className="status"),
        html.Div(id="team-spine"),
        html.Dialog(html.Div(id=f"{KEYS}-list"), id=KEYS, **{"aria-label": say("pages.keys_title")}),
        shell.store(TEAM),
        kind="team",
        invented=reports.invented(event_id),
        header=shell.top(
            html.Div([html.H1(measured.name), html.P(_about(measured))], className="what"),
            links=shell.event_links(event_id, "team"),
        ),
    )


def _about(measured: Measured) -> str:
    """Return when it was and whom it was about, without the files: those stand on the event's own page."""
    return " · ".join(summary_line(measured.report).split(" · ")[:2])


def said(measured: Measured, reports: Reports, sitting: str) -> dict[str, str]:
    """Return what fills the parts of the page, as HTML by the part's id."""
    report = measured.report
    made: dict[str, Part | list[Part]] = {
        "team-head": head(head_line(report)),
        "team-talk": [
            html.P(say("talk.rules"), className="rules"),
            *chapters.chapters(doings.place()),
            chapters.roles(),
        ],
        "team-spine": chapters.spine(),
        "team-seconds": seconds(measured),
        f"{KEYS}-list": keys([(key, say(f"talk.key.{does}")) for key, does in _KEYS]),
    }
    return {name: to_html(part) for name, part in made.items()} | routes.parts(measured, reports, sitting)


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that fills the page, and the addresses that its script asks."""

    def measured(event_id: str, search: str) -> Measured:
        wanted = asked(search)
        return reports.get(event_id, wanted.edition, wanted.beside)

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(TEAM, "data"),
        State(URL, "pathname"),
        State(URL, "search"),
        prevent_initial_call="initial_duplicate",
    )
    def fill(_: object, path: str, search: str) -> dict[str, str]:
        match = ADDRESS.fullmatch(path)
        event = measured(match["event_id"] if match else "", search)
        return said(event, reports, "hot")

    routes.register(app.server, reports, measured)
