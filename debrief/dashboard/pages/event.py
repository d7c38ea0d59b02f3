"""The page of one event: what could not be seen, the timeline, the figures as sentences, problems, marks."""

import re
import threading
from dataclasses import dataclass
from functools import lru_cache, partial
from urllib.parse import parse_qs, urlencode

from dash import Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from debrief import targets
from debrief.dashboard import column, correcting, links, review, shell, standing, timeline, written
from debrief.dashboard.addresses import event_address, event_in
from debrief.dashboard.apart import APART, apart
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.reports import KEPT, Measured, Reports
from debrief.dashboard.review import Listed, Said
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.shell import DRAWN, EDITION, PARTS, URL
from debrief.dashboard.steps import KEYS, STEPS, keys, steps
from debrief.dashboard.twin import one_item, twin
from debrief.picture.clock_words import clocks_of
from debrief.picture.sentences import causes, head_line, summary_line
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)")

PICKED = "picked"


@dataclass(frozen=True)
class Asked:
    """What an address asks for: the edition, a second one beside it, and the stretch of timeline. [s]"""

    edition: str | None = None
    beside: str | None = None
    stretch: tuple[float, float] | None = None


def asked(search: str | None) -> Asked:
    """Read the part of an address behind the question mark; what makes no sense is left out."""
    found = parse_qs((search or "").removeprefix("?"))
    known = targets.editions()
    edition, beside = (next(iter(found.get(name, [])), "") for name in ("edition", "beside"))
    try:
        start, end = float(found["from"][0]), float(found["to"][0])
    except (KeyError, ValueError):
        start = end = 0.0
    good = -1e7 < start < end < 1e7
    return Asked(
        edition if edition in known else None,
        beside if beside in known else None,
        (start, end) if good else None,
    )


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the page; the graph is filled once the browser has said how wide it is."""
    wanted = asked(search)
    measured = reports.get(event_id, wanted.edition, wanted.beside)
    return shell.framed(
        html.P(className="head", id="head"),
        *standing.place(),
        html.Div(
            [
                html.Div(
                    [
                        timeline.section(measured),
                        html.Section(id=PICKED),
                        html.Div(id=APART),
                        html.Section(id="causes"),
                        html.Section([html.H2(say("pages.problems_title")), html.Div(id="problems")]),
                    ],
                    className="left",
                ),
                html.Section(
                    [editions(measured.report["edition"], wanted.beside), html.Div(id="figures")],
                    **{"aria-label": say("pages.figures_title")},
                ),
            ],
            className="columns",
        ),
        html.Details(
            [html.Summary(say("pages.twin_title")), html.Div(id="twin", className="scroll")],
            className="twin",
        ),
        standing.section(),
        html.Section(
            [
                html.H2(say("pages.marks_title")),
                html.P(id=review.STATUS, role="status", className="status bad"),
                html.Div(id="review"),
            ]
        ),
        html.P(id="downloads", className="note"),
        shell.store(timeline.FRAME),
        shell.store(timeline.THEME),
        shell.store(timeline.SHOWN, list(wanted.stretch) if wanted.stretch else None),
        shell.store(EDITION),
        shell.store(review.CHANGED),
        shell.store(review.FILTER),
        shell.store(review.TURNED),
        shell.store(review.MOMENT),
        shell.store(written.TAKEN),
        shell.store(written.CORRECT),
        shell.store(correcting.SAID),
        shell.store(correcting.STEPPED),
        shell.store(column.ASKED),
        shell.store(review.ADD),
        shell.store(links.SAID),
        kind="event",
        invented=reports.invented(event_id),
        header=shell.top(
            html.Div(id="event-name", className="what"),
            before=_neighbours(reports.shelf, event_id),
            links=shell.event_links(event_id, "event"),
        ),
    )


_SAYING = threading.Lock()


def said(measured: Measured) -> dict[str, str]:
    """Return what fills the parts of the page, as HTML by the part's id, made once for an event."""
    with _SAYING:
        return _said(measured)


@lru_cache(maxsize=KEPT)
def _said(measured: Measured) -> dict[str, str]:
    report, picture = measured.report, measured.picture
    parts: dict[str, Part | list[Part]] = {
        "event-name": [html.H1(measured.name), html.P(summary_line(report))],
        "head": [*head(head_line(report)), *_to_clocks(measured)],
        "figures": column.column(report, picture.extent),
        PICKED: None,
        "causes": column.hands_off(causes(report)),
        "problems": column.problems(report, partial(links.answered_at, where=links.places(report))),
        "twin": twin(picture),
        "review": review.panel(measured),
        STEPS: steps(measured),
        f"{KEYS}-list": keys(),
        "downloads": _downloads(measured),
    }
    return {name: to_html(part) for name, part in parts.items()}


def prepare(measured: Measured) -> None:
    """Do beforehand what the first showing of an event would wait for."""
    timeline.draw(measured, timeline.USUAL_WIDTH_PX, "light", None)
    said(measured)


def head(line: str) -> list[Part]:
    """Return the head line, its first words up to the colon in bold."""
    lead, colon, rest = line.partition(":")
    return [html.Strong(lead + colon), rest] if colon else [line]


def _to_clocks(measured: Measured) -> list[Part]:
    """Return the way to the clocks, where there is more than one."""
    if len(clocks_of(measured.report)) < 2:
        return []
    return [" ", html.A(say("clock_page.link"), href=event_address(measured.event_id, "clocks"))]


def _neighbours(shelf: Shelf, event_id: str) -> list[Component]:
    """Return links to the event before and the one after, as the list of events has them."""
    listed = shelf.listed()
    if event_id not in listed:
        return []
    at = listed.index(event_id)
    beside = (
        ("before", "←", listed[at - 1] if at else None),
        ("after", "→", next(iter(listed[at + 1 :]), None)),
    )
    return [
        html.A(
            [
                html.Span(arrow, **{"aria-hidden": "true"}),
                html.Span(say(f"pages.event_{side}"), className="hidden"),
            ],
            href=event_address(name),
            title=say(f"pages.event_{side}"),
        )
        for side, arrow, name in beside
        if name
    ]


def editions(chosen: str, beside: str | None, answers: str = EDITION) -> Component:
    """Return the choice of the edition that judges, and of one beside it; a store is told what is chosen."""
    names = [(name, name) for name in targets.editions()]
    lists = (("edition", names, chosen), ("beside", [("", say("pages.beside_none")), *names], beside or ""))
    return html.Form(
        [
            html.Label(
                [
                    say(f"pages.{key}"),
                    shell.select(choices, standing, **{"data-answer": key, "data-address": key}),
                ]
            )
            for key, choices, standing in lists
        ],
        className="edition",
        **{"data-answers": answers},
    )


def _downloads(measured: Measured) -> list[Part]:
    """Return links to the report as files, by the edition that is shown."""
    asking = urlencode({"edition": measured.report["edition"]})
    here = event_address(measured.event_id)
    return [
        say("pages.downloads"),
        " ",
        html.A("JSON", href=f"{here}/report.json?{asking}"),
        ", ",
        html.A("CSV", href=f"{here}/figures.csv?{asking}"),
        "; ",
        html.A(say("pages.download_picture"), href=f"{here}/timeline.svg"),
    ]


def measured_at(reports: Reports, path: str, edition: Said | None, search: str) -> Measured:
    """Return the event of an address below ``/event/``, by the editions that were chosen or are asked for."""
    wanted = asked(search)
    if edition:
        wanted = Asked(edition["said"]["edition"], edition["said"]["beside"] or None)
    return reports.get(event_in(path), wanted.edition, wanted.beside)


def register(app: Dash, reports: Reports) -> None:
    """Add the callbacks of the page."""

    def measured(path: str, edition: Said | None, search: str) -> Measured:
        return measured_at(reports, path, edition, search)

    where = [State(URL, "pathname"), State(URL, "search")]
    timeline.register(app, measured, where)

    @app.callback(
        Output(PARTS, "data"),
        Input(EDITION, "data"),
        Input(review.CHANGED, "data"),
        State(review.FILTER, "data"),
        State(review.TURNED, "data"),
        *where,
    )
    def say_all(
        edition: Said | None,
        _changed: str,
        chosen: Said | None,
        turned: Said | None,
        path: str,
        search: str,
    ) -> dict[str, str]:
        version = reports.shelf.version(event_in(path))
        event = measured(path, edition, search)
        listed = Listed.of(chosen, turned)
        parts = said(event) | standing.parts(reports.shelf, event.event_id, version)
        return parts if listed == Listed() else parts | {"review": to_html(review.panel(event, listed))}

    @app.callback(
        Output(DRAWN, "data"),
        Input(timeline.FRAME, "data"),
        Input(EDITION, "data"),
        Input(review.CHANGED, "data"),
        *where,
        prevent_initial_call=True,
    )
    def draw_apart(frame: Said | None, edition: Said | None, _changed: str, path: str, search: str) -> object:
        if not frame:
            return no_update
        return {APART: to_html(apart(measured(path, edition, search), int(frame["width"])))}

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(column.ASKED, "data"),
        State(EDITION, "data"),
        *where,
        prevent_initial_call=True,
    )
    def show_evidence(wanted: Said | None, edition: Said | None, path: str, search: str) -> object:
        return column.answered(wanted, measured(path, edition, search)) if wanted else no_update

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(timeline.GRAPH, "clickData"),
        State(EDITION, "data"),
        *where,
        prevent_initial_call=True,
    )
    def show_item(click: Said | None, edition: Said | None, path: str, search: str) -> object:
        if not click:
            return no_update
        event = measured(path, edition, search)
        item = event.picture.item(str(click["points"][0].get("customdata")))
        return {
            PICKED: to_html(
                one_item(item, event.rows, event.files, links.acts(event, item.marks)) if item else None
            )
        }

    review.register(app, reports)
    standing.register(app, reports)
