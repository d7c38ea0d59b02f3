"""The list of events: one row an event, in the order of any column, with the figures worth comparing."""

import re
import time
from collections.abc import Sequence

from dash import Dash, Input, Output, html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address
from debrief.dashboard.event_folder import entry, entry_title
from debrief.dashboard.markup import Part, tag, to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shell import PARTS
from debrief.model.contract import Figure, Report
from debrief.picture.captions import known, rhythm_words
from debrief.picture.sentences import value_text
from debrief.words import say

ADDRESS = re.compile(r"/events")
MEASURED = "measured-events"
TABLE = "events"
FILTER_PLACE = "events-filter"
AT_ONCE_S = 0.5
"""After this long the table is shown as far as it is measured, and the rest follows. [s]"""

FIGURES = ("chest_compression_fraction", "longest_pause", "time_to_first_shock")
COLUMNS = ("event", "date", "population", "rhythm", *FIGURES, "problems")


def layout(reports: Reports, search: str) -> Component:
    """Return the page; its table is filled as far as events are measured."""
    kept = bool(reports.shelf.names())
    return shell.framed(
        html.H1(say("pages.events_title")),
        html.P(say("pages.events_lead" if kept else "pages.events_samples"), className="lead"),
        html.Div(id=FILTER_PLACE),
        html.Div(id=TABLE),
        shell.store(MEASURED),
        kind="events",
        invented=not kept,
    )


def table(reports: Reports, patience_s: float = AT_ONCE_S) -> Component:
    """Return the table as far as events are measured; it takes about as long as it may. [s]"""
    end = time.monotonic() + patience_s
    rows = [
        _row(reports, event_id, reports.brief(event_id, only_known=time.monotonic() > end))
        for event_id in reports.shelf.listed()
    ]
    heads = [
        html.Th(
            html.Button(say(f"pages.events_{name}"), type="button", className="plain", **{"data-turn": name}),
            scope="col",
            className="number" if name in (*FIGURES, "problems") else "",
        )
        for name in COLUMNS
    ]
    made = html.Table([html.Thead(html.Tr(heads)), html.Tbody(rows)])
    return html.Div(made, className="scroll", tabIndex="0", role="group", **_called())


def _called() -> dict[str, str]:
    return {"aria-label": say("pages.events_title")}


def _row(reports: Reports, event_id: str, found: Report | str | None) -> Component:
    here = entry(event_id, reports.shelf.folder(event_id))
    title = entry_title(here)
    if not isinstance(found, dict):
        link = html.A(title, href=event_address(event_id, "understood" if found else ""))
        said = html.Td(found or say("pages.events_waiting"), colSpan=str(len(COLUMNS) - 1), className="note")
        empty = [html.Td(hidden=True, **{"data-key": ""}) for _ in COLUMNS[2:]]
        return html.Tr([_cell(title, link), said, *empty], **({} if found else {"data-waiting": "yes"}))
    name = str(here.settings.get("unit") or title)
    figures = {figure["name"]: figure for figure in found["figures"]}
    rhythm = found["first_rhythm"]
    population = str(found["event"].get("population") or "")
    return html.Tr(
        [
            _cell(name, html.A(name, href=event_address(event_id))),
            _cell(*(2 * (_day(found),))),
            _cell(*(2 * (known(f"head.population.{population}", population),))),
            _cell(*(2 * (rhythm_words(rhythm["rhythm"]) if rhythm else "",))),
            *(_figure(figures[key]) for key in FIGURES),
            _cell(str(_to_check(found)), str(_to_check(found)), "number"),
        ]
    )


def _cell(key: str, part: Part | Sequence[Part], kind: str = "") -> Component:
    """Return a cell that stands in the order of a key; an empty key stands last in every order."""
    return html.Td(part if key else say("pages.events_unknown"), className=kind, **{"data-key": key})


def _figure(figure: Figure) -> Component:
    value = figure["value"]
    if value is None:
        return html.Td(value_text(figure), className="number note", **{"data-key": ""})
    return html.Td(value_text(figure), className="number", **{"data-key": f"{float(value):.6f}"})


def _day(report: Report) -> str:
    wall = report["time_zero"]["wall"] or ""
    return str(report["event"].get("date") or (wall[:10] if "-" in wall else ""))


def _to_check(report: Report) -> int:
    return sum(one["severity"] != "note" for one in report["problems"])


def _filter() -> Component:
    return html.P(
        [
            html.Label(
                [
                    html.Span(say("pages.events_filter")),
                    tag("input", type="search", id="filter-events", data_said=_shown()),
                ],
                className="field",
            ),
            html.Span(id="events-shown", role="status", className="note"),
        ],
        className="fields",
    )


def _shown() -> str:
    return say("pages.events_shown", shown="{shown}", count="{count}")


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that fills the table; the script of the pages asks again until all is measured."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(MEASURED, "data"),
        prevent_initial_call="initial_duplicate",
    )
    def fill(turn: int | None) -> dict[str, str]:
        shown = {TABLE: to_html(table(reports))}
        return shown if turn else {FILTER_PLACE: to_html(_filter())} | shown
