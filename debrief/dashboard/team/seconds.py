"""Where the seconds went: pauses by cause, the longest first; first shock and doses on a strip."""

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import column
from debrief.dashboard.addresses import event_address
from debrief.dashboard.markup import Part
from debrief.dashboard.reports import Measured
from debrief.model.values import THIN
from debrief.picture.sentences import Causes, causes
from debrief.picture.strip import lay_strip
from debrief.words import say


def seconds(measured: Measured) -> list[Part]:
    """Return the bars of the causes with what if, and the place of the strip; each where it is known."""
    told = causes(measured.report)
    strip = lay_strip(measured.report)
    return [
        *(_causes(told) if told else [html.P(say("talk.no_causes"), className="note")]),
        *(_strip(measured) if strip else []),
    ]


def _causes(told: Causes) -> list[Part]:
    most = max(bar.seconds for bar in told.bars)
    ranked = sorted(told.bars, key=lambda bar: -bar.seconds)
    return [
        html.H2(told.heading),
        html.Ol(
            [
                html.Li(
                    [
                        html.Span(bar.words, className="cause"),
                        html.Span(
                            html.I(style={"width": f"{100 * bar.seconds / most:.2f}%"}),
                            className=f"bar {bar.tone}",
                            **{"aria-hidden": "true"},
                        ),
                        html.Span(
                            [
                                html.Strong(bar.text),
                                f" {bar.share * 100:.0f}{THIN}%, ",
                                _pauses(len(bar.pauses)),
                            ],
                            className="share",
                        ),
                    ]
                )
                for bar in ranked
            ],
            className="by-cause",
        ),
        column.what_if(told),
    ]


def _pauses(count: int) -> str:
    return say("talk.one_pause") if count == 1 else say("talk.pauses", count=count)


def _strip(measured: Measured) -> list[Component]:
    """Return the strip's place; the script of the page asks for it at the width that there is."""
    return [
        html.H2(say("talk.strip")),
        html.Div(className="drawn", **{"data-drawing": event_address(measured.event_id, "strip")}),
        html.P(say("talk.strip_note"), className="note"),
    ]
