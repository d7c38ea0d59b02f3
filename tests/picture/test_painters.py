"""Both painters draw all of a layout, and nothing that a user wrote gets through as markup."""

import re
from xml.etree import ElementTree

import plotly.graph_objects as go
import pytest

from debrief.picture import plotly, svg
from debrief.picture.layout import lay_out
from debrief.picture.plain import Wedge
from debrief.picture.theme import THEMES

SVG = "{http://www.w3.org/2000/svg}"


def svg_ids(picture):
    root = ElementTree.fromstring(svg.paint(picture))
    found = [node for node in root.iter() if "data-id" in node.attrib]
    labels = sorted(node.attrib["data-id"] for node in found if "data-label" in node.attrib)
    return {node.attrib["data-id"] for node in found if "data-label" not in node.attrib}, labels


def figure_of(picture, theme="light"):
    """The figure with every name and value of it checked by Plotly's own classes."""
    return go.Figure(plotly.paint(picture, theme), skip_invalid=False)


def plotly_ids(picture):
    figure = figure_of(picture)
    items = {
        item_id
        for trace in figure.data
        if trace.name != "labels"
        for item_id in trace.customdata
        if item_id is not None
    }
    labels = sorted(label for trace in figure.data if trace.name == "labels" for label in trace.customdata)
    return items, labels


def test_every_item_and_every_label_is_in_both_painters(any_report):
    picture = lay_out(any_report)
    items = {item.id for item in picture.items}
    drawn = {item.id for item in picture.items if not hasattr(item, "paths") or any(item.paths)}
    labels = sorted(label.id for label in picture.labels)
    assert svg_ids(picture) == (items, labels)
    assert plotly_ids(picture) == (drawn, labels)


def test_wedges_pass_through_the_ribbon_in_both(events):
    picture = lay_out(events["vf"]())
    ribbon = next(lane for lane in picture.lanes if lane.id == "spine")
    wedges = [item for item in picture.items if isinstance(item, Wedge)]
    assert all(wedge.y0 < ribbon.y0 < wedge.y1 <= ribbon.y1 for wedge in wedges)
    shapes = {shape.name for shape in figure_of(picture).layout.shapes}
    assert {wedge.id for wedge in wedges} <= shapes


@pytest.mark.parametrize("theme", THEMES)
def test_the_svg_is_named_and_described_for_those_who_do_not_see_it(events, theme):
    root = ElementTree.fromstring(svg.paint(lay_out(events["vf"]()), theme, title="Event <7> & more"))
    assert root.attrib["role"] == "img"
    assert root.find(f"{SVG}title").text == "Event <7> & more"
    assert "Shocks: 4. Doses: 5. Pauses over 10 s: 5." in root.find(f"{SVG}desc").text


def test_what_a_user_wrote_is_shown_and_never_obeyed(events):
    picture = lay_out(events["rearrest"](), width=1440)
    painted = svg.paint(picture)
    assert "<b>present" not in painted
    assert "&lt;b&gt;present" in painted
    data = figure_of(picture).to_json()
    assert "<b>present" not in data.replace("\\u003c", "<").replace("\\u003e", ">")
    assert plotly.safe("<a href='x'>&") == "&lt;a href='x'&gt;&amp;"


def test_the_figure_holds_times_as_numbers_on_one_axis(any_report):
    figure = figure_of(lay_out(any_report))
    assert figure.layout.xaxis.type == "linear"
    assert {trace.xaxis for trace in figure.data} == {None}
    assert figure.layout.uirevision == "keep"


def test_nothing_offers_to_send_the_figure_away():
    assert plotly.GRAPH_CONFIG["showSendToCloud"] is False
    assert plotly.GRAPH_CONFIG["plotlyServerURL"] == ""


def test_a_long_event_makes_few_nodes(events):
    """Plotly draws two nodes a bar, one a symbol or piece of line, two or three a label."""
    figure = figure_of(lay_out(events["long"]()))
    nodes = 3 * len(figure.layout.shapes)
    for trace in figure.data:
        if trace.type == "bar":
            nodes += 2 * len(trace.y)
        elif trace.mode == "lines":
            nodes += sum(x is None for x in trace.x)
        else:
            nodes += (3 if trace.mode == "text" else 1) * len(trace.x)
    assert nodes < 1800
    assert len(figure.to_json()) < 300_000


def test_svg_prints_in_black_and_white(events):
    """Hands-on is filled, a pause open, a device striped, what nobody saw hatched: never colour alone."""
    painted = svg.paint(lay_out(events["rearrest"]()))
    fills = dict(re.findall(r'data-id="(run:\d|pause:\d|unseen:\d)" fill="([^"]+)"', painted))
    kinds = {fills["run:0"], fills["run:2"], fills["pause:0"], fills["unseen:0"]}
    assert len(kinds) == 4
    assert fills["run:2"].startswith("url(#mechanical")
    assert fills["unseen:0"].startswith("url(#not_seen")
