"""Paint a layout as a figure for plotly.js: one axis of numeric seconds, one axis of pixels, few nodes.

The figure is a plain dictionary: Plotly's own classes check every value again, which takes longer than
drawing, and so a test checks them instead.

Every point carries ``customdata`` of its item's id, so that a click finds its evidence. Nothing that a
user wrote reaches the figure unescaped: Plotly reads a small part of HTML in its words.
"""

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from debrief.picture.labels import text_width
from debrief.picture.plain import Bar, Label, Line, Mark, Picture, Wedge
from debrief.picture.theme import FONT, STYLES, THEMES, WEDGE_HALF_WIDTH_PX, Style, ThemeName
from debrief.words import say

GRAPH_CONFIG: dict[str, Any] = {
    "displaylogo": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": True,
    "modeBarButtonsToRemove": ["select2d", "lasso2d", "autoScale2d"],
}
"""For every graph. Plotly 7 shows a button that uploads the figure unless told not to."""

_SYMBOLS = {"square": "square", "dot": "circle", "ring": "circle", "point": "circle", "diamond": "diamond"}
_SYMBOLS["nick"] = "triangle-up"
_SPACE = "\u00a0"
_DASHES = {"solid": "solid", "dash": "5px,3px", "dot": "1.5px,3px"}


def paint(picture: Picture, theme: ThemeName = "light") -> dict[str, Any]:
    """Return a picture as ``{"data", "layout"}`` for Plotly, as high as it is, as wide as its place."""
    colours = THEMES[theme]
    by_role: dict[tuple[type, str], list[Any]] = {}
    for item in picture.items:
        by_role.setdefault((type(item), item.role), []).append(item)
    traces: list[dict[str, Any]] = []
    shapes: list[dict[str, Any]] = []
    for (form, role), items in by_role.items():
        style = STYLES[role]
        if form is Bar:
            traces.append(_bars(items, role, style, colours))
        elif form is Line:
            traces.append(_lines(items, role, style, colours))
        elif form is Mark:
            traces.append(_marks(items, role, style, colours))
        else:
            shapes += [_wedge(item, style, colours) for item in items]
            traces.append(_handles(items, role))
    traces.append(_labels(picture.labels, colours))
    return {"data": traces, "layout": _layout(picture, shapes, colours)}


def safe(text: str) -> str:
    """Return a text that Plotly shows letter by letter, its newlines as line breaks."""
    return escape(text, quote=False).replace("\n", "<br>")


def _hover(items: Iterable[Bar | Line | Mark | Wedge]) -> dict[str, Any]:
    texts = [safe(item.hover) for item in items]
    return {"hovertext": texts, "hoverinfo": "text"} if any(texts) else {"hoverinfo": "skip"}


def _bars(items: Sequence[Bar], role: str, style: Style, colours: dict[str, str]) -> dict[str, Any]:
    marker: dict[str, Any] = {"color": colours[style.fill or "paper"], "opacity": style.opacity}
    marker["line"] = {"width": style.width if style.line else 0, "color": colours[style.line or "paper"]}
    if style.hatch:
        marker["pattern"] = {
            "shape": style.pattern,
            "fillmode": "replace",
            "fgcolor": colours[style.hatch],
            "bgcolor": colours[style.fill or "paper"],
            "size": 7 if style.pattern == "/" else 6,
            "solidity": 0.16 if style.pattern == "/" else 0.25,
        }
    return {
        "type": "bar",
        "name": role,
        "orientation": "h",
        "base": [item.x0 for item in items],
        "x": [item.x1 - item.x0 for item in items],
        "y": [(item.y0 + item.y1) / 2 for item in items],
        "width": [item.y1 - item.y0 for item in items],
        "marker": marker,
        "customdata": [item.id for item in items],
        **_hover(items),
    }


def _lines(items: Sequence[Line], role: str, style: Style, colours: dict[str, str]) -> dict[str, Any]:
    xs: list[float | None] = []
    ys: list[float | None] = []
    ids: list[str | None] = []
    for item in items:
        for path in item.paths:
            xs += [*(x for x, _ in path), None]
            ys += [*(y for _, y in path), None]
            ids += [*(item.id for _ in path), None]
    return {
        "type": "scatter",
        "name": role,
        "mode": "lines",
        "x": xs,
        "y": ys,
        "line": {"color": colours[style.line or "ink"], "width": style.width, "dash": _DASHES[style.dash]},
        "customdata": ids,
        "hoverinfo": "skip",
    }


def _marks(items: Sequence[Mark], role: str, style: Style, colours: dict[str, str]) -> dict[str, Any]:
    return {
        "type": "scatter",
        "name": role,
        "mode": "markers",
        "x": [item.x for item in items],
        "y": [item.y for item in items],
        "cliponaxis": False,
        "marker": {
            "symbol": _SYMBOLS[style.symbol],
            "size": style.size,
            "opacity": 1,
            "color": colours[style.fill or style.line or "ink"],
            "line": {"width": style.width if style.line else 0, "color": colours[style.line or "paper"]},
        },
        "customdata": [item.id for item in items],
        **_hover(items),
    }


def _wedge(item: Wedge, style: Style, colours: dict[str, str]) -> dict[str, Any]:
    """A wedge as wide in pixels at every zoom; a shape, so that it lies over the ribbon."""
    half = WEDGE_HALF_WIDTH_PX
    return {
        "type": "path",
        "name": item.id,
        "xsizemode": "pixel",
        "xanchor": item.x,
        "path": f"M{-half},{item.y0:.2f} L{half},{item.y0:.2f} L0,{item.y1:.2f} Z",
        "fillcolor": colours[style.fill or "ink"],
        "line": {"width": style.width, "color": colours[style.line or "ink"]},
        "layer": "above",
    }


def _handles(items: Sequence[Wedge], role: str) -> dict[str, Any]:
    """Points nobody sees, where a wedge is hovered over and clicked."""
    return {
        "type": "scatter",
        "name": role,
        "mode": "markers",
        "x": [item.x for item in items],
        "y": [item.y0 + (item.y1 - item.y0) / 4 for item in items],
        "marker": {"size": 22, "opacity": 0, "symbol": "square"},
        "customdata": [item.id for item in items],
        **_hover(items),
    }


def _labels(labels: Sequence[Label], colours: dict[str, str]) -> dict[str, Any]:
    positions = {"start": "middle right", "middle": "middle center", "end": "middle left"}
    return {
        "type": "scatter",
        "name": "labels",
        "mode": "text",
        "x": [label.x for label in labels],
        "y": [label.y for label in labels],
        "text": [_words(label) for label in labels],
        "textposition": [positions[label.anchor] for label in labels],
        "textfont": {
            "family": FONT,
            "size": [label.size for label in labels],
            "color": [colours[label.tone] for label in labels],
        },
        "cliponaxis": False,
        "customdata": [label.id for label in labels],
        "hoverinfo": "skip",
    }


def _words(label: Label) -> str:
    strong = f"<b>{safe(label.strong)}</b>" if label.strong else ""
    text = strong + (" " if strong and label.text else "") + safe(label.text)
    pad = _SPACE * round(abs(label.dx) / text_width(_SPACE, label.size))
    return f"{pad}{text}" if label.anchor == "start" else f"{text}{pad}" if label.anchor == "end" else text


def _layout(picture: Picture, shapes: list[dict[str, Any]], colours: dict[str, str]) -> dict[str, Any]:
    bottom = picture.height - picture.axis_y
    return {
        "height": picture.height,
        "margin": {"l": picture.left, "r": picture.right, "t": 0, "b": bottom, "pad": 0, "autoexpand": False},
        "paper_bgcolor": colours["paper"],
        "plot_bgcolor": colours["paper"],
        "font": {"family": FONT, "size": 12.5, "color": colours["ink"]},
        "barmode": "overlay",
        "bargap": 0,
        "showlegend": False,
        "hovermode": "closest",
        "hoverdistance": 12,
        "hoverlabel": {
            "bgcolor": colours["card"],
            "bordercolor": colours["soft"],
            "align": "left",
            "font": {"family": FONT, "size": 14, "color": colours["ink"]},
        },
        "dragmode": "pan",
        "uirevision": "keep",
        "modebar": {"bgcolor": "rgba(0,0,0,0)", "color": colours["soft"], "activecolor": colours["ink"]},
        "shapes": [*shapes, *_group_rules(picture, colours)],
        "annotations": _annotations(picture, colours),
        "xaxis": {
            "type": "linear",
            "range": list(picture.view),
            "tickmode": "array",
            "tickvals": [tick.x for tick in picture.ticks],
            "ticktext": [_tick(tick.text, tick.wall, colours) for tick in picture.ticks],
            "tickangle": 0,
            "ticks": "outside",
            "ticklen": 5,
            "tickcolor": colours["ink"],
            "tickfont": {"size": 12.5, "color": colours["ink"]},
            "linecolor": colours["ink"],
            "showline": True,
            "showgrid": True,
            "gridcolor": colours["rule"],
            "gridwidth": 0.8,
            "minor": {
                "tickvals": list(picture.minor),
                "showgrid": True,
                "gridcolor": colours["rule"],
                "ticklen": 0,
            },
            "title": {
                "text": safe(picture.caption),
                "font": {"size": 12, "color": colours["soft"]},
                "standoff": 6,
            },
            "zeroline": False,
            "automargin": False,
        },
        "yaxis": {
            "range": [picture.axis_y, 0],
            "fixedrange": True,
            "showgrid": False,
            "zeroline": False,
            "tickmode": "array",
            "tickvals": [lane.title_y for lane in picture.lanes],
            "ticktext": [safe(lane.title) for lane in picture.lanes],
            "tickfont": {"size": 12.5, "color": colours["soft"]},
            "ticklen": 14,
            "ticks": "outside",
            "tickcolor": "rgba(0,0,0,0)",
            "automargin": False,
        },
    }


def _tick(text: str, wall: str, colours: dict[str, str]) -> str:
    if not wall:
        return text
    return f'{text}<br><span style="font-size:11px;color:{colours["soft"]}">{wall}</span>'


def _group_rules(picture: Picture, colours: dict[str, str]) -> list[dict[str, Any]]:
    rules = []
    for group in ("done", "seen"):
        lanes = [lane for lane in picture.lanes if lane.group == group]
        if lanes:
            rules.append(
                {
                    "type": "line",
                    "name": f"group:{group}",
                    "xref": "paper",
                    "x0": 0,
                    "x1": 0,
                    "xsizemode": "pixel",
                    "xanchor": 0,
                    "x0shift": 0,
                    "y0": lanes[0].y0,
                    "y1": lanes[-1].y1,
                    "line": {"color": colours["rule"], "width": 1.5},
                }
            )
            rules[-1] |= {"x0": 16 - picture.left, "x1": 16 - picture.left}
            del rules[-1]["x0shift"]
    return rules


def _annotations(picture: Picture, colours: dict[str, str]) -> list[dict[str, Any]]:
    plain = {"showarrow": False, "yref": "y", "xref": "paper"}
    made: list[dict[str, Any]] = []
    for group in ("done", "seen"):
        lanes = [lane for lane in picture.lanes if lane.group == group]
        if lanes:
            middle = (lanes[0].y0 + lanes[-1].y1) / 2
            font = {"size": 12, "color": colours["soft"], "weight": 600}
            text = say(f"picture.lane.{group}")
            place = {"x": 0, "xshift": 8 - picture.left, "y": middle, "textangle": -90, "xanchor": "center"}
            made.append({**plain, **place, "text": text, "font": font})
    return made
