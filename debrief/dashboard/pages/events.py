"""The list of events: searched, filtered, sorted by any column; what to look at first, what is not known."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, cast

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address
from debrief.dashboard.listed import (
    AT_ONCE_S,
    CHOICES,
    FIGURES,
    MOST_SHOWN,
    WAITING,
    Asked,
    Listed,
    Shown,
    listed,
    title,
)
from debrief.dashboard.markup import Part, tag, to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.review import Said
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.taking_in import WHERE
from debrief.errors import DebriefError
from debrief.model.contract import Figure
from debrief.picture.captions import known, rhythm_words
from debrief.picture.sentences import value_text
from debrief.picture.values import figure_title
from debrief.registry.listing import REMOVED
from debrief.registry.overview import Line
from debrief.words import say

ADDRESS = re.compile(r"/events")
WANTED = "wanted-events"
"""The store that is told what is asked for, as the part of the address behind the question mark."""
RESTORED = "restored-event"
TABLE = "events"
FILTER_PLACE = "events-filter"
FIRST = "events-first"
COLUMNS = ("event", "date", "population", "rhythm", "status", *FIGURES, "missing", "problems")
NUMBERS = (*FIGURES, "missing", "problems")


def layout(reports: Reports, search: str) -> Component:
    """Return the page; what is asked for fills it."""
    return shell.framed(
        html.H1(say("pages.events_title")),
        html.Div(id=FILTER_PLACE),
        html.Div(id=FIRST),
        html.Div(id=TABLE),
        shell.store(WANTED),
        shell.store(RESTORED),
        kind="events",
        invented=not reports.shelf.names(),
    )


def said(reports: Reports, asked: Asked, patience_s: float = AT_ONCE_S) -> dict[str, str]:
    """Return what fills the page, as HTML by the part's id.

    Raises
    ------
    DebriefError
        Where the registry cannot be read.
    """
    found = listed(reports, asked, patience_s)
    lead = "events_page.lead" if reports.shelf.names() else "pages.events_samples"
    parts: dict[str, Part | list[Part]] = {
        FILTER_PLACE: [
            html.P(say(lead), className="lead"),
            _filter(found, asked),
        ],
        FIRST: _first(found.first),
        TABLE: table(found, asked),
    }
    return {name: to_html(part) for name, part in parts.items()}


def _first(lines: Sequence[Line]) -> list[Part]:
    if not lines:
        return []
    items = [
        html.Li(
            [
                html.A(
                    ", ".join(dict.fromkeys(filter(None, (title(line), line.date)))),
                    href=event_address(line.event_id, WHERE.get(line.status, "")),
                ),
                html.Span(_to_do(line), className="note"),
            ]
        )
        for line in lines
    ]
    return [html.H2(say("events_page.first_title")), html.Ul(items, className="rows")]


def _to_do(line: Line) -> str:
    one = line.status == "to_check" and line.to_check == 1
    return say(f"events_page.first_{line.status}{'_one' if one else ''}", count=line.to_check)


def _filter(found: Listed, asked: Asked) -> Component:
    """Return the search and the filters; each choice says how many events have it."""

    def choice(name: str, words: Callable[[str], str], order: Sequence[str] | None = None) -> Component:
        counts = found.choices[name]
        names = [one for one in order if one in counts] if order else sorted(counts, key=str.casefold)
        chosen = getattr(asked, name)
        extra = [REMOVED] if name == "status" else []
        options = [("", say("events_page.any"))]
        for one in dict.fromkeys([*names, *([chosen] if chosen else []), *extra]):
            count = counts.get(one)
            what = words(one)
            options.append((one, say("events_page.choice", what=what, count=count) if count else what))
        return shell.field(say(f"events_page.{name}"), shell.select(options, chosen, **{"data-asks": name}))

    def line(name: str, kind: str) -> Component:
        control = tag("input", type=kind, value=getattr(asked, name), data_asks=name, maxlength="120")
        return shell.field(say(f"events_page.{'search' if name == 'q' else name}"), control)

    return html.Form(
        [
            line("q", "search"),
            choice("status", _status_words, CHOICES),
            choice("unit", str),
            choice("population", _population_words),
            choice("rhythm", rhythm_words),
            line("since", "date"),
            line("until", "date"),
            html.A(say("events_page.clear"), href="/events", className="small"),
        ],
        className="fields filter",
        role="search",
        **{"data-asking": "", "aria-label": say("events_page.search")},
    )


def table(found: Listed, asked: Asked) -> list[Part]:
    """Return a page of the table, with the way to those before and after."""
    if not found.rows:
        return [html.P(say("events_page.none_fit"), role="status", className="note")]
    heads = [_head(name, asked) for name in COLUMNS]
    made = html.Table([html.Thead(html.Tr(heads)), html.Tbody([_row(one) for one in found.rows])])
    waiting = {"data-waiting": "yes"} if any(one.line.status == WAITING for one in found.rows) else {}
    return [
        _pager(found, asked),
        html.Div(
            made,
            className="scroll",
            tabIndex="0",
            role="group",
            **{"aria-label": say("pages.events_title")},
            **waiting,
        ),
    ]


def _pager(found: Listed, asked: Asked) -> Component:
    first, last = found.start + 1, found.start + len(found.rows)
    key = "events_page.shown" if found.count == found.all else "events_page.shown_of"
    told = say(key, first=first, last=last, count=found.count, all=found.all)
    page = found.start // MOST_SHOWN
    turns = (("earlier", page - 1, page > 0), ("later", page + 1, last < found.count))
    links = [
        html.A(say(f"events_page.{name}"), href="/events" + str(replace(asked, page=str(to))))
        for name, to, can in turns
        if can
    ]
    return html.P([html.Span(told, role="status", id="events-shown"), *links], className="under pager")


def _head(name: str, asked: Asked) -> Component:
    words = say(f"pages.events_{name}" if name not in ("status", "missing") else f"events_page.head_{name}")
    sort, down = (asked.sort, bool(asked.down)) if asked.sort else ("date", True)
    here = name == sort
    turned = replace(asked, sort=name, down="" if here and down else ("1" if here else ""), page="")
    stands = {"aria-sort": "descending" if down else "ascending"} if here else {}
    link = html.A(words, href="/events" + str(turned), **{"data-turn": name})
    return html.Th(link, scope="col", className="number" if name in NUMBERS else "", **stands)


def _row(one: Shown) -> Component:
    line = one.line
    address = event_address(line.event_id, WHERE.get(line.status, ""))
    name = html.Strong(one.name) if line.status == REMOVED else html.A(one.name, href=address)
    cells = [
        html.Th([name, _called(one)], scope="row"),
        html.Td(line.date or _unknown()),
        html.Td(_population_words(line.population) if line.population else _unknown()),
        html.Td(rhythm_words(line.rhythm) if line.rhythm else _unknown()),
        html.Td(_status(one)),
    ]
    if one.said or not one.figures:
        return html.Tr([*cells, html.Td(one.said, colSpan=str(len(NUMBERS)), className="note")])
    cells += [_figure(one.figures.get(key)) for key in FIGURES]
    return html.Tr(
        [*cells, html.Td(_missing(one), className="number"), html.Td(str(line.to_check), className="number")]
    )


def _called(one: Shown) -> Part:
    """Return the name of the event where it is shown as its ward."""
    return html.Span(one.line.event_id, className="note") if one.name != one.line.event_id else None


def _status(one: Shown) -> list[Part]:
    line = one.line
    told = _status_words(line.status)
    if line.status == REMOVED:
        button = html.Button(
            say("events_page.restore"),
            type="button",
            className="plain small",
            **{
                "data-set": RESTORED,
                "data-value": line.event_id,
                "aria-label": say("events_page.restore_name", event=line.event_id),
            },
        )
        return [button]
    stale = html.Span(say("events_page.stale"), className="note") if line.stale else None
    return [say("events_page.because", status=told, why=line.why) if line.why else told, stale]


def _unknown() -> Component:
    return html.Span(say("pages.events_unknown"), className="note")


def _figure(figure: Mapping[str, Any] | None) -> Component:
    if figure is None:
        return html.Td()
    text = value_text(cast(Figure, figure))
    return html.Td(text, className="number" if figure["value"] is not None else "number note")


def _missing(one: Shown) -> Part:
    """Return how many core figures are not known; unfolded, which and why."""
    count = len(one.missing)
    if not count:
        return "0"
    reasons = [
        html.Li(say("events_page.missing_because", figure=figure_title(name), because=why))
        for name, why in one.missing
    ]
    called = say("events_page.missing_title", event=one.name)
    return html.Details([html.Summary(str(count), **{"aria-label": f"{called}: {count}"}), html.Ul(reasons)])


def _status_words(status: str) -> str:
    return say(f"events_page.status_{status}")


def _population_words(population: str) -> str:
    return known(f"head.population.{population}", population)


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that fills the page; its script asks again while events are being measured."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(WANTED, "data"),
        Input(RESTORED, "data"),
        State(URL, "search"),
        State(URL, "pathname"),
        prevent_initial_call="initial_duplicate",
    )
    def fill(wanted: dict[str, str] | None, restored: Said | None, search: str, path: str) -> object:
        if not ADDRESS.fullmatch(path):
            return no_update
        try:
            if ctx.triggered_id == RESTORED and restored:
                reports.shelf.registry.restore(restored["value"])
            parts = said(reports, Asked.of(wanted["search"] if wanted else search))
        except DebriefError as error:
            return {TABLE: to_html(html.P(str(error), className="status bad", role="status"))}
        if ctx.triggered_id == WANTED and wanted:  # somebody may be typing there
            del parts[FILTER_PLACE]
        return parts
