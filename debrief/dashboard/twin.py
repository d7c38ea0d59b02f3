"""The timeline as a table, for those who do not see the picture or would rather read."""

from collections.abc import Mapping, Sequence

from dash import html
from dash.development.base_component import Component

from debrief.dashboard.markup import Part
from debrief.dashboard.written import Row, listed, stands_behind
from debrief.model.times import clock
from debrief.picture.plain import Item, Picture, reach
from debrief.words import say

MOST_ROWS = 12
_NOT_ROWS = frozenset({"axis"})


def twin(picture: Picture) -> Component:
    """Return what the picture shows as rows in time order: when, in which lane, what.

    Parts of one thing (a bracket, its words) are one row.
    """
    lanes = {lane.id: lane.title for lane in picture.lanes}
    rows: dict[str, tuple[float, str, str]] = {}
    for item in picture.items:
        name = item.id.partition("/")[0]
        if item.hover and item.lane not in _NOT_ROWS and name not in rows:
            rows[name] = (reach(item)[0], lanes.get(item.lane, item.lane), item.hover)
    return html.Table(
        [
            html.Caption(say("pages.twin_caption")),
            html.Thead(
                html.Tr(
                    [html.Th(say(f"pages.twin_{name}"), scope="col") for name in ("when", "lane", "what")]
                )
            ),
            html.Tbody(
                [
                    html.Tr([html.Td(clock(at), className="number"), html.Td(lane), html.Td(what)])
                    for at, lane, what in sorted(rows.values())
                ]
            ),
        ]
    )


def one_item(item: Item, rows: Sequence[Row], files: Mapping[str, str], acts: Part = None) -> Component:
    """Return what one thing on the timeline is, and the marks behind it; ``acts``: with what to do."""
    what, *more = item.hover.split("\n")
    names = set(item.marks)
    return html.Div(
        [
            html.H2(what),
            html.P(" · ".join(more), className="note") if more else None,
            acts or listed([row for row in rows if stands_behind(row, names)][:MOST_ROWS], files),
        ],
        className="evidence",
    )
