"""The clocks of one event: each as it wrote, all on one, what is left over, what a reviewer says."""

import re
from collections.abc import Iterator, Sequence

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from debrief.clocks.log import devices, read_log
from debrief.dashboard import clock_setting, column, shell
from debrief.dashboard.addresses import event_in
from debrief.dashboard.apart import painted
from debrief.dashboard.clock_setting import (
    DEVICE,
    REFERENCE,
    SET,
    UNDONE,
    choose_device,
    choose_reference,
    setting,
)
from debrief.dashboard.clock_writing import set_clock, set_device, set_reference, undo_clock
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.reports import Measured, Reports
from debrief.dashboard.review import Said
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.stamps import stamps
from debrief.errors import DebriefError
from debrief.model.contract import SourceOut
from debrief.model.times import clock
from debrief.picture.captions import wall_at
from debrief.picture.clock_rows import Stamp
from debrief.picture.clock_words import (
    clocks_of,
    drift_words,
    lag_words,
    name_of,
    other_ways,
    reference_of,
    residual_words,
    standing,
    standing_in_short,
    way_words,
)
from debrief.picture.clocks import Clocks, lay_clocks, pairs_of
from debrief.words import say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/clocks")

ROWS = "clock-rows"
SOURCES = "clock-sources"
LEAD = "clock-lead"
TWIN = "clock-twin"
STATUS = "clock-status"
FRAME = "clock-frame"
ABOUT_CLOCKS = ("clock_", "check_", "zero_un", "another_day", "same_marks", "too_far")
"""How the codes of problems begin that are about a source's clock."""
MOST_ROWS = 400
"""How many rows the table holds."""


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the page; it is filled once the browser has said how wide it is."""
    reports.get(event_id)  # what cannot be measured is refused here, in words
    return shell.framed(
        html.Div(id=LEAD),
        html.P(id=STATUS, role="status", className="status bad"),
        html.Div(id=ROWS, **{"data-frame": FRAME}),
        html.Details(
            [html.Summary(say("clock_page.twin")), html.Div(id=TWIN, className="scroll")], className="twin"
        ),
        html.Div(id=SOURCES),
        shell.store(FRAME),
        shell.store(SET),
        shell.store(UNDONE),
        shell.store(REFERENCE),
        shell.store(DEVICE),
        kind="clocks",
        invented=reports.invented(event_id),
        header=shell.event_top(say("clock_page.title"), reports.shelf.folder(event_id), event_id, "clocks"),
    )


def said(measured: Measured, width: int, labels: Sequence[str] = ()) -> dict[str, str]:
    """Return what fills the parts of the page, as HTML by the part's id.

    Parameters
    ----------
    width
        Of the pictures. [px]
    labels
        The devices on the log of clock checks.
    """
    drawn = lay_clocks(measured.report, stamps(measured), width)
    sources = clocks_of(measured.report)
    parts: dict[str, Part | list[Part]] = {
        LEAD: _lead(measured),
        ROWS: _pictures(measured, drawn),
        TWIN: _twin(measured),
        SOURCES: [
            html.H2(say("clock_page.each")),
            choose_reference(measured) if len(sources) > 1 else None,
            *(_source(measured, source, drawn, labels) for source in sources),
        ],
    }
    return {name: to_html(part) for name, part in parts.items()}


def _lead(measured: Measured) -> list[Part]:
    """Return first what there is to know: where each clock stands."""
    report = measured.report
    others = [one for one in clocks_of(report) if one != reference_of(report)]
    joined = any(list(pairs_of(source)) for source in others)
    return [
        *(html.P(standing(report, source), className="lead") for source in others),
        html.P(say("clock_page.lead"), className="note") if joined else None,
        html.P(say("clock_page.lead_one")) if not others else None,
    ]


def _pictures(measured: Measured, drawn: Clocks | None) -> list[Part]:
    reference = reference_of(measured.report)
    if drawn is None or reference is None:
        return [html.P(say("clock_page.unheard"))]
    return [
        html.H2(say("clock_page.as_written")),
        painted(drawn.before, "before"),
        html.H2(say("clock_page.on_reference", reference=name_of(reference))),
        painted(drawn.after, "after"),
    ]


def _source(measured: Measured, source: SourceOut, drawn: Clocks | None, labels: Sequence[str]) -> Component:
    """Return what is known of one clock, why, and what can be said of it."""
    report, source_id, found = measured.report, source["source_id"], source["clock"]
    reference = reference_of(report)
    is_reference = source == reference
    short = standing_in_short(source, reference or source)
    told = [*drift_words(found), *(one["text"] for one in found["evidence"])] if found else []
    if not list(pairs_of(source)):
        told += lag_words(source)
    if not found and (ways := other_ways(source)):
        listed_ways = "; ".join(way_words(way, source, reference) for way in ways)
        told.append(say("clock_page.offers", ways=listed_ways))
    strip = drawn.residuals.get(source_id) if drawn else None
    own = [
        one
        for one in report["problems"]
        if one["source_id"] == source_id and one["code"].startswith(ABOUT_CLOCKS)
    ]
    about = html.Div(
        [
            html.H3([name_of(source), html.Span(f" {short}, {source['file']}", className="note")]),
            *(html.P(line, className="note") for line in told if not is_reference),
            choose_device(measured, source, labels),
            html.Div(column.problems({**report, "problems": own})) if own else None,
        ]
    )
    done = html.Div(setting(measured, source)) if not is_reference else None
    left_over = painted(strip, f"left-{source_id}") if strip else None
    return html.Section([about, done, left_over], className="clock", id=f"clock-{source_id}")


def _twin(measured: Measured) -> Component:
    """Return both pictures as rows: each mark as written, on the reference, and what it was paired with."""
    report = measured.report
    names = {source["source_id"]: name_of(source) for source in report["sources"]}
    written = {stamp.name: stamp for stamp in stamps(measured)}
    pairs = {pair["mark"]: pair for source in clocks_of(report) for pair in pairs_of(source)}
    reference = reference_of(report)

    def cells(stamp: Stamp) -> Iterator[Component]:
        pair = pairs.get(stamp.name)
        other = written.get(pair["other"]) if pair else None
        yield html.Td(names.get(stamp.source, stamp.source))
        yield html.Td(stamp.written, className="as-written")
        yield html.Td("" if stamp.time is None else wall_at(report, stamp.time), className="number")
        yield html.Td("" if stamp.time is None else clock(stamp.time), className="number")
        yield html.Td(stamp.what)
        yield html.Td(f"{names.get(other.source, other.source)}, {other.written}" if other else "")
        yield html.Td(residual_words(pair["residual"]) if pair else "")

    shown = [stamp for stamp in written.values() if stamp.kind != "compression"][:MOST_ROWS]
    heads = ("source", "written", "aligned", "time", "what", "pair", "residual")
    return html.Table(
        [
            html.Caption(say("clock_page.twin_caption", reference=name_of(reference) if reference else "")),
            html.Thead(html.Tr([html.Th(say(f"clock_page.twin_{name}"), scope="col") for name in heads])),
            html.Tbody([html.Tr(list(cells(stamp))) for stamp in shown]),
        ]
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callbacks of the page: it is said at the width of the window, and anew after each change."""

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Output(STATUS, "children"),
        Input(FRAME, "data"),
        Input(SET, "data"),
        Input(UNDONE, "data"),
        Input(REFERENCE, "data"),
        Input(DEVICE, "data"),
        State(URL, "pathname"),
        prevent_initial_call=True,
    )
    def tell(
        frame: Said | None,
        given: Said | None,
        undone: Said | None,
        chosen: Said | None,
        device: Said | None,
        path: str,
    ) -> tuple[object, object]:
        match = ADDRESS.fullmatch(path)
        if not match or not frame:
            return no_update, no_update
        event_id = event_in(path)
        try:
            if ctx.triggered_id != FRAME:
                event, said_by = reports.get(event_id), (given or {}).get("said", {})
                with reports.changing(event_id, said_by.get("role", ""), said_by.get("why", "")) as folder:
                    _change(event.at(folder), str(ctx.triggered_id), given, undone, chosen, device)
            labels = devices(read_log(reports.shelf.clock_log).entries)
            return said(reports.get(event_id), int(frame["width"]), labels), ""
        except DebriefError as error:
            return no_update, str(error)


def _change(
    event: Measured,
    asked: str,
    given: Said | None,
    undone: Said | None,
    chosen: Said | None,
    device: Said | None,
) -> None:
    if asked == clock_setting.SET and given:
        set_clock(event, **given["said"])
    elif asked == clock_setting.UNDONE and undone:
        undo_clock(event, undone["value"])
    elif asked == clock_setting.REFERENCE and chosen:
        set_reference(event, chosen["value"])
    elif asked == clock_setting.DEVICE and device:
        set_device(event, **device["said"])
