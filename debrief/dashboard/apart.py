"""What stands apart: a timeline of its own for each group of sources that nothing ties to the reference."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component
from markupsafe import Markup

from debrief.dashboard.addresses import event_address
from debrief.dashboard.markup import Part
from debrief.dashboard.reports import Measured
from debrief.dashboard.twin import twin
from debrief.model.contract import Report
from debrief.picture import svg
from debrief.picture.clock_words import name_of, standing
from debrief.picture.layout import lay_out
from debrief.picture.plain import Picture
from debrief.picture.sentences import listed
from debrief.words import say

APART = "apart"


def painted(picture: Picture, name: str) -> Component:
    """Return a picture in the colours of the page; all words in it are escaped by the painter.

    ``name`` sets it apart from other pictures on the page.
    """
    return html.Div(Markup(svg.paint(picture, "page", name=f"-{name}")), className="drawn")


def apart(measured: Measured, width: int) -> list[Part]:
    """Return a timeline for each group that stands apart, each on an axis of its own. [px]"""
    return [
        _section(measured, report, number, width)
        for number, report in enumerate(measured.report["apart"], start=2)
    ]


def _section(measured: Measured, report: Report, number: int, width: int) -> Component:
    ids = {source["source_id"] for source in report["sources"] if source["group"] == 1}
    why = [standing(measured.report, one) for one in measured.report["sources"] if one["source_id"] in ids]
    picture = lay_out(report, None, width, written=measured.written)
    drawing = event_address(measured.event_id, f"timeline-{number}.svg")
    return html.Section(
        [
            html.H2(say("clock_page.apart_title", names=listed(names(report)))),
            html.P(
                [
                    " ".join([*why, say("clock_page.apart_why")]),
                    " ",
                    html.A(say("clock_page.apart_join"), href=event_address(measured.event_id, "clocks")),
                ]
            ),
            painted(picture, f"group-{number}"),
            html.Details(
                [
                    html.Summary(say("clock_page.apart_twin")),
                    html.Div(twin(picture), className="scroll", tabIndex="0"),
                    html.A(say("pages.download_picture"), href=drawing),
                ],
                className="twin",
            ),
        ]
    )


def names(report: Report) -> Sequence[str]:
    """Return what the sources of a group are called."""
    return [name_of(source) for source in report["sources"] if source["group"] == 1]
