"""The timeline on the page of an event: drawn for the width and the light of the browser, moved by hand."""

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from dash import Dash, Input, Output, State, ctx, dcc, html, no_update, set_props
from dash.development.base_component import Component

from debrief.dashboard.addresses import event_address
from debrief.dashboard.reports import Measured
from debrief.dashboard.review import CHANGED, Said
from debrief.dashboard.shell import EDITION
from debrief.dashboard.steps import KEYS, SAID, STEPS, TURNS
from debrief.model.contract import Report
from debrief.model.times import clock
from debrief.picture import svg
from debrief.picture.layout import lay_out
from debrief.picture.plain import Bar, Line, Mark, Picture, Wedge, reach
from debrief.picture.plotly import GRAPH_CONFIG, paint
from debrief.picture.theme import THEMES
from debrief.words import say

GRAPH = "graph"
TIMELINE = "timeline"
FRAME = "frame"
THEME = "theme"
SHOWN = "shown"
SHOWN_WORDS = "shown-words"
USUAL_WIDTH_PX = 1000
PAPER_PX = 1010
"""What fits between the margins of A4 and Letter on their sides."""
MINOR_S = 15.0
"""What may be missing at the ends where still the whole event is said to be shown. [s]"""

CONFIG = GRAPH_CONFIG | {"displayModeBar": False, "scrollZoom": False}


def section(measured: Measured) -> Component:
    """Return the timeline's place, and the controls that move it; the browser says how wide it is."""
    picture = measured.picture
    start, end = measured.extent
    steps = (
        ("closer", "zoom", "0.5"),
        ("wider", "zoom", "2"),
        ("earlier", "move", "-0.5"),
        ("later", "move", "0.5"),
    )
    return html.Section(
        [
            html.Div(
                [
                    html.Div(
                        id=TIMELINE,
                        role="group",
                        style={"minHeight": f"{picture.height:.0f}px"},
                        **{
                            "aria-label": picture.description,
                            "data-frame": FRAME,
                            "data-themes": json.dumps(THEMES),
                            "data-config": json.dumps(CONFIG),
                        },
                    ),
                    html.Div(id="playhead", hidden=True, **{"aria-hidden": "true"}),
                ],
                className="stage",
            ),
            html.Div(id="paper", **{"data-source": event_address(measured.event_id, "timeline.svg")}),
            html.Div(
                [
                    html.Span(id=SHOWN_WORDS, role="status"),
                    *(_step(name, {f"data-{does}": by}) for name, does, by in steps),
                    _step("whole", {"data-from": f"{start:.1f}", "data-to": f"{end:.1f}"}),
                ],
                className="under",
            ),
            html.Div(
                [
                    *(_step(f"step_{name}", {"data-turn": name}) for name in TURNS),
                    _step("aligned", {"data-shows": "aligned", "aria-pressed": "false"}),
                    _step("keys", {"data-opens": KEYS}),
                ],
                className="under",
            ),
            html.P(id=SAID, role="status", className="step-said"),
            html.Ol(id=STEPS, hidden=True),
            html.Dialog(html.Div(id=f"{KEYS}-list"), id=KEYS, **{"aria-label": say("pages.keys_title")}),
        ],
        **{"aria-label": say("pages.timeline_title")},
    )


def _step(name: str, does: dict[str, str]) -> Component:
    return html.Button(say(f"pages.view_{name}"), type="button", className="plain", **does)


def shown_words(stretch: Sequence[float], extent: tuple[float, float], last: float) -> str:
    """Return which stretch of the event is shown, in words; ``last`` is when the record ends. [s]"""
    if stretch[0] - extent[0] < MINOR_S and extent[1] - stretch[1] < MINOR_S:
        return say("pages.whole_shown")
    return say("pages.shown", start=clock(stretch[0]), end=clock(stretch[1]), last=clock(last))


def draw(measured: Measured, width: int, theme: str, stretch: tuple[float, float] | None) -> dict[str, Any]:
    """Return the timeline as a figure for Plotly. [px, s]"""
    picture = lay_out(measured.report, within(stretch, measured), width, written=measured.written)
    figure = paint(_near(picture), "dim" if theme == "dim" else "light")
    figure["layout"]["uirevision"] = f"{picture.view[0]}:{picture.view[1]}"
    return figure


def _near(picture: Picture) -> Picture:
    """Return a picture without what lies further off than the view is long: nobody can drag that far."""
    start, end = picture.view
    low, high = start - (end - start), end + (end - start)

    def meets(item: Bar | Line | Mark | Wedge) -> bool:
        first, last = reach(item)
        return last >= low and first <= high

    return replace(
        picture,
        items=tuple(item for item in picture.items if meets(item)),
        labels=tuple(label for label in picture.labels if low <= label.x <= high),
    )


def for_paper(measured: Measured, report: Report | None = None) -> str:
    """Return the whole timeline as SVG in light colours on white, as wide as a page that lies on its side.

    ``report``: that of a group that stands apart, where not of the reference's.
    """
    picture = lay_out(report or measured.report, None, PAPER_PX, written=measured.written)
    return svg.paint_for_paper(picture)


def within(stretch: tuple[float, float] | None, measured: Measured) -> tuple[float, float] | None:
    """Return a stretch that meets the event, or null where it does not. [s]"""
    if stretch is None:
        return None
    start, end = stretch
    low, high = measured.extent
    return (max(start, low), min(end, high)) if start < high and end > low and end - start >= 1 else None


def moved(
    event: Measured, frame: Said, theme: str | None, shown: list[float] | None
) -> tuple[dict[str, Any], dict[str, str], str]:
    """Return the figure for a stretch, the style of its height, and which stretch it is in words."""
    stretch = within((shown[0], shown[1]), event) if shown else None
    figure = draw(event, int(frame["width"]), theme or "light", stretch)
    height = {"height": f"{figure['layout']['height']:.0f}px"}
    return figure, height, shown_words(figure["layout"]["xaxis"]["range"], event.extent, event.last)


def register(
    app: Dash, measured: Callable[[str, Said | None, str], Measured], where: Sequence[State]
) -> None:
    """Add the callbacks of the timeline.

    ``measured`` returns the event for a path, a chosen edition and what stands behind the question mark;
    ``where`` are the states that hold path and rest.
    """

    @app.callback(
        Output(TIMELINE, "children"),
        Output(SHOWN_WORDS, "children"),
        Input(FRAME, "data"),
        State(THEME, "data"),
        State(SHOWN, "data"),
        State(EDITION, "data"),
        *where,
        prevent_initial_call=True,
    )
    def first_timeline(
        frame: Said | None,
        theme: str | None,
        shown: list[float] | None,
        edition: Said | None,
        path: str,
        search: str,
    ) -> tuple[object, object]:
        if not frame:
            return no_update, no_update
        figure, height, told = moved(measured(path, edition, search), frame, theme, shown)
        return dcc.Graph(id=GRAPH, figure=figure, config=CONFIG, responsive=True, style=height), told

    @app.callback(
        Input(SHOWN, "data"),
        Input(EDITION, "data"),
        Input(CHANGED, "data"),
        State(FRAME, "data"),
        State(THEME, "data"),
        *where,
        prevent_initial_call=True,
    )
    def move_timeline(
        shown: list[float] | None,
        edition: Said | None,
        _changed: str,
        frame: Said | None,
        theme: str | None,
        path: str,
        search: str,
    ) -> None:
        if frame and len(ctx.triggered) == 1:  # else there is no graph yet, or the page is just being filled
            figure, height, told = moved(measured(path, edition, search), frame, theme, shown)
            set_props(GRAPH, {"figure": figure, "style": height})
            set_props(SHOWN_WORDS, {"children": told})
