"""What was understood of an event's files: columns and labels mapped on screen, with what comes of it."""

import re

from dash import Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import answers, shell
from debrief.dashboard.addresses import event_address, event_in
from debrief.dashboard.answers import Understood
from debrief.dashboard.event_folder import read_settings
from debrief.dashboard.mapper import ANSWER, MEANINGS_PLACE, about, all_meanings, source_section
from debrief.dashboard.markup import to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shell import PARTS, URL
from debrief.errors import DebriefError
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/understood")
OPEN = "open"
TOLD = "told"
STATUS = "answer-status"


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the page."""
    return shell.framed(
        html.P(say("pages.understood_lead"), className="lead"),
        html.P([html.Span(role="status", id=OPEN), _go(event_id)], className="summary"),
        html.Div(id=TOLD),
        html.P(id=STATUS, role="status", className="status bad"),
        html.P(
            html.A(say("pages.show_timeline"), href=event_address(event_id), className="main"), className="go"
        ),
        html.Div(id=MEANINGS_PLACE),
        shell.store(ANSWER),
        kind="understood",
        invented=reports.invented(event_id),
        header=shell.event_top(
            say("pages.understood_title"), reports.shelf.folder(event_id), event_id, "understood"
        ),
    )


def told(reports: Reports, event_id: str) -> dict[str, str]:
    """Return what is said of the event and its files as all answers stand: HTML by the part's id."""
    folder = reports.shelf.folder(event_id)
    sources = answers.understood(folder, reports.shelf.remembered)
    sections = [source_section(number, one) for number, one in enumerate(sources)]
    return {
        OPEN: to_html(_summary(sources)),
        TOLD: to_html([about(read_settings(folder)), *sections]),
        MEANINGS_PLACE: to_html(all_meanings()),
    }


def _go(event_id: str) -> Component:
    return html.A(say("pages.show_timeline"), href=event_address(event_id), className="main")


def _summary(sources: list[Understood]) -> str:
    """Return in a sentence what is still open."""
    found = [one.found for one in sources if one.found]
    questions = sum(len(one.questions) for one in found)
    labels = sum(label.sure == answers.UNMAPPED for one in found for label in one.labels)
    unread = sum(one.found is None for one in sources)
    parts = [
        say(f"pages.open_{name}" if count > 1 else f"pages.open_{name}_one", count=count)
        for name, count in (("questions", questions), ("labels", labels), ("unread", unread))
        if count
    ]
    return say("pages.open", what="; ".join(parts)) if parts else say("pages.open_nothing")


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that keeps an answer and says anew what is understood."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Output(STATUS, "children"),
        Input(ANSWER, "data"),
        State(URL, "pathname"),
        prevent_initial_call="initial_duplicate",
    )
    def keep(given: dict[str, str] | None, path: str) -> tuple[object, object]:
        match = ADDRESS.fullmatch(path)
        if not match:
            return no_update, no_update
        event_id, refused = event_in(path), ""
        if given:
            try:
                answers.answer(reports.shelf, event_id, given["name"], given["value"])
            except DebriefError as error:
                refused = str(error)
        return told(reports, event_id), refused
