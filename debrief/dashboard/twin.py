"""The timeline as a table, for those who do not see the picture or would rather read."""

from dash import html
from dash.development.base_component import Component

from debrief.model.times import clock
from debrief.picture.plain import Bar, Line, Picture, Wedge
from debrief.words import say

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
            rows[name] = (_start(item), lanes.get(item.lane, item.lane), item.hover)
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


def _start(item: object) -> float:
    """Return where an item begins. [s]"""
    if isinstance(item, Bar):
        return item.x0
    if isinstance(item, Line):
        return min(point[0] for path in item.paths for point in path)
    assert isinstance(item, Wedge) or hasattr(item, "x")
    return float(item.x)
