"""The page for the team: the timeline, what to talk about, the talk in chapters, where the seconds went."""

import re
from urllib.parse import parse_qs

from dash import Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import column, shell
from debrief.dashboard.addresses import event_address
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.pages.event import asked, editions, head, measured_at
from debrief.dashboard.reports import Measured, Reports
from debrief.dashboard.review import Said
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.steps import KEYS, keys
from debrief.dashboard.team import chapters, doings, later, routes
from debrief.dashboard.team.seconds import seconds
from debrief.picture.sentences import head_line, summary_line
from debrief.talk.kept import read_talk
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/team")

TEAM = "team"
"""The store that fills the page; it is told which editions are chosen."""
ASKED = "team-asked"
"""The store that is told whose evidence is asked for."""
_KEYS = (
    ("1 - 9", "point"),
    ("n", "next"),
    ("b", "back"),
    ("s", "clock"),
    ("Alt ↑ ↓", "order"),
    ("?", "keys"),
)


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the frame of the page; what fills it comes as HTML."""
    wanted, cold = asked(search), is_cold(search)
    measured = reports.get(event_id, wanted.edition, wanted.beside)
    return shell.framed(
        html.P(className="head", id="team-head"),
        html.Section(
            html.Div(
                className="drawn",
                id="team-timeline",
                **{"data-drawing": event_address(event_id, "team-timeline")},
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
                html.Div(
                    [
                        later.turn(event_id, cold),
                        html.Section(id="team-before", className="before") if cold else None,
                        html.Section(id="team-talk", className="talk"),
                    ],
                    className="right",
                ),
            ],
            className="columns team-columns",
        ),
        *(_later(measured, wanted.beside) if cold else ()),
        html.Div(
            id="team-status",
            className="status",
            **{f"data-{key}": say(f"talk.{key}") for key in ("saved", "saving", "offline", "again", "file")},
        ),
        html.P(id="team-unread", className="status"),
        html.Div(id="team-spine"),
        html.Dialog(html.Div(id=f"{KEYS}-list"), id=KEYS, **{"aria-label": say("pages.keys_title")}),
        shell.store(TEAM),
        shell.store(ASKED),
        kind="team",
        invented=reports.invented(event_id),
        header=shell.top(
            html.Div([html.H1(measured.name), html.P(_about(measured))], className="what"),
            links=shell.event_links(event_id, "team"),
        ),
    )


def is_cold(search: str) -> bool:
    """Return whether an address asks for the talk days later."""
    return "cold" in parse_qs(search.removeprefix("?"))


def _later(measured: Measured, beside: str | None) -> list[Component]:
    """Return the place of all figures, with the choice of editions, and of the file for hand-over."""
    return [
        html.Section(
            [
                html.H2(say("pages.figures_title")),
                editions(measured.report["edition"], beside, TEAM),
                html.Div(id=later.FIGURES),
            ],
            className="all-figures",
        ),
        html.Section(id="team-hand-over"),
    ]


def _about(measured: Measured) -> str:
    """Return when it was and whom it was about, without the files: those stand on the event's own page."""
    return " · ".join(summary_line(measured.report).split(" · ")[:2])


def said(measured: Measured, reports: Reports, cold: bool) -> dict[str, str]:
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
    if cold:
        made |= {
            "team-before": later.before(read_talk(measured.folder).hot),
            "team-hand-over": later.hand_over(measured),
            later.FIGURES: column.column(report, measured.extent, ASKED),
        }
    filled = {name: to_html(part) for name, part in made.items()}
    return filled | routes.parts(measured, reports, "cold" if cold else "hot")


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that fills the page, and the addresses that its script asks."""
    where = [State(URL, "pathname"), State(URL, "search")]

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(TEAM, "data"),
        *where,
        prevent_initial_call="initial_duplicate",
    )
    def fill(edition: Said | None, path: str, search: str) -> dict[str, str]:
        return said(measured_at(reports, path, edition, search), reports, is_cold(search))

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(ASKED, "data"),
        State(TEAM, "data"),
        *where,
        prevent_initial_call=True,
    )
    def show_evidence(wanted: Said | None, edition: Said | None, path: str, search: str) -> object:
        return column.answered(wanted, measured_at(reports, path, edition, search)) if wanted else no_update

    def measured(event_id: str, search: str) -> Measured:
        return measured_at(reports, event_address(event_id), None, search)

    routes.register(app.server, reports, measured)
