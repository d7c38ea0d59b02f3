"""Trends: one measure over all events of the registry, as its address asks."""

import re

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from debrief.cohorts.kept import COHORT
from debrief.dashboard import shell
from debrief.dashboard.across.asked import Asked
from debrief.dashboard.across.content import ASKED, KEPT, form, in_short, keeping, shown
from debrief.dashboard.across.made import made
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.review import Said
from debrief.dashboard.shell import PARTS, URL
from debrief.errors import DebriefError
from debrief.words import say

ADDRESS = re.compile(r"/trends")
FORM = "trend-form"
SHOWN = "trend-shown"
STATUS = "trend-status"
KEEPING = "trend-keeping"
FRAME = "trend-frame"
"""The store that is told how wide the page is."""
USUAL_PX = 1100


def layout(reports: Reports, search: str) -> Component:
    """Return the page; it is filled once the browser has said how wide it is."""
    return shell.framed(
        html.H1(say("trends_page.title")),
        html.P(say("trends_page.lead"), className="lead"),
        html.Div(id=FORM),
        html.Div(id=KEEPING),
        html.P(id=STATUS, role="status", className="note"),
        html.Div(id=SHOWN, **{"data-frame": FRAME}),
        shell.store(FRAME),
        shell.store(ASKED),
        shell.store(KEPT),
        kind="trends",
    )


def said(reports: Reports, asked: Asked, width: int) -> dict[str, str]:
    """Return what fills the page, as HTML by the part's id; what cannot be is said in place of a chart."""
    registry = reports.shelf.kept
    named = registry.named(COHORT) if registry else {}
    parts: dict[str, Part | list[Part]]
    try:
        found = made(reports, asked)
    except DebriefError as error:
        refusal = html.P(str(error), className="status bad", role="status")
        parts = {FORM: form(asked, (), named), SHOWN: refusal}
    else:
        none = html.P([say("trends_page.no_events"), " ", html.A(say("pages.nav_start"), href="/")])
        parts = {
            FORM: form(asked, found.rows if found else (), named),
            SHOWN: shown(found, width) if found else none,
            STATUS: in_short(found) if found else "",
            KEEPING: keeping() if found else None,
        }
    return {name: to_html(part) for name, part in parts.items()}


def keep(reports: Reports, asked: Asked, name: str) -> str:
    """Keep what is chosen as a cohort, or take it out where nothing is; say so."""
    name = name.strip()
    if not name:
        return say("trends_page.keep_nameless")
    where = asked.texts()
    try:
        reports.shelf.registry.name(COHORT, name, {"where": where} if where else None)
    except DebriefError as error:
        return str(error)
    return say("trends_page.kept" if where else "trends_page.kept_none", name=name)


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that fills the page, anew whenever something else is asked for."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(FRAME, "data"),
        Input(ASKED, "data"),
        Input(KEPT, "data"),
        State(URL, "search"),
        State(URL, "pathname"),
        prevent_initial_call=True,
    )
    def fill(
        frame: Said | None, wanted: dict[str, str] | None, given: Said | None, search: str, path: str
    ) -> object:
        if not ADDRESS.fullmatch(path) or not frame:
            return no_update
        asked = Asked.of(wanted["search"] if wanted else search)
        told = ""
        if ctx.triggered_id == KEPT and given:
            told = keep(reports, asked, given["said"].get("name", ""))
        parts = said(reports, asked, min(int(frame["width"]), USUAL_PX))
        if told:
            return parts | {STATUS: to_html(html.Span(told))}
        if wanted:  # somebody may be choosing there
            del parts[FORM], parts[KEEPING]
        return parts
