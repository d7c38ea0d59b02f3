"""What to talk about, to be read from across the room: questions beside what was measured."""

import json
from functools import lru_cache

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import column
from debrief.dashboard.addresses import event_address
from debrief.dashboard.markup import Part
from debrief.dashboard.reports import KEPT, Measured
from debrief.dashboard.team.chapters import field, names
from debrief.dashboard.written import listed, stands_behind
from debrief.picture.sentences import Sentence
from debrief.talk.kept import Item, Talk, arranged
from debrief.talk.points import MOST, Point
from debrief.words import say

MOST_OF_IT = 0.8
"""A stretch that is more of the timeline than this is not drawn again."""


def board(measured: Measured, talk: Talk) -> list[Part]:
    """Return the points in the team's order, then what else could be talked about."""
    items, left = arranged(measured.report, talk)
    return [
        html.Ol(
            [_item(measured, items, at) for at in range(len(items))],
            className="points",
        ),
        html.Form(
            [
                field("question", "talk.add_point"),
                html.Button(say("talk.add"), type="submit"),
            ],
            className="add fields",
            **{"data-adds": "point"},
        ),
        html.Ul(
            [
                html.Li(_button("add_point", item.id, say("talk.take_up", question=item.question)))
                for item in left
            ],
            className="left-out",
        )
        if left
        else None,
    ]


def _button(does: str, item_id: str, words: str, **more: str) -> Component:
    """Return a button that changes the talk; the script of the page sends it."""
    return html.Button(
        words, type="button", className="plain", **{"data-turn": does, "data-value": item_id}, **more
    )


def _item(measured: Measured, items: list[Item], at: int) -> Component:
    item = items[at]
    told = item.point.told if item.point else None
    spans = told.spans if told else ()
    evidence = f"behind-{item.id}"
    again = {"data-answer": "ask", "data-value": item.id}  # so that it is found again when painted anew
    opens = {"aria-expanded": "false", "aria-controls": evidence} if item.point and told else {}
    return html.Li(
        [
            html.H3(
                html.Button(item.question, type="button", className="ask", dir="auto", **opens, **again),
            ),
            _told(told) if told else None,
            None if item.point else html.Div(names(item.question), className="names"),
            html.Div(
                [column.span(one, measured.picture.view) for one in spans],
                className="span",
                **{"aria-hidden": "true"},
            )
            if spans
            else None,
            _moves(items, at),
            html.Div([_stretch(measured, told), _behind(measured, item.point)], id=evidence, hidden=True)
            if item.point and told
            else None,
        ],
        className=told.verdict if told else "",
        **{"data-point": item.id, "data-spans": json.dumps(spans)},
    )


def _told(told: Sentence) -> Component:
    """Return what was measured: the sentence, its bounds, and who asks what."""
    bounds = html.Span(f" ({told.bounds})", className="bounds") if told.bounds else None
    shape = html.Span(html.Span(told.verdict_words, className="hidden"), className=f"shape {told.verdict}")
    return html.Div(
        [
            html.P([shape, told.lead, html.Strong(told.value), told.tail, bounds], className="told"),
            html.P(told.target, className="target") if told.target else None,
        ]
    )


def _moves(items: list[Item], at: int) -> Component:
    """Return what can be done to a point: up, down, away."""
    item = items[at]
    before, after = items[max(at - 1, 0)].id, items[at + 2].id if at + 2 < len(items) else ""
    return html.Div(
        [
            _turn("move_point", item, "up", "↑", before, at > 0),
            _turn("move_point", item, "down", "↓", after, at + 1 < len(items)),
            _turn("drop_point", item, "drop", "\u00d7", "", True),
        ],
        className="moves",
    )


def _turn(does: str, item: Item, key: str, sign: str, before: str, possible: bool) -> Component:
    words = say(f"talk.{key}", question=item.question)
    return html.Button(
        [html.Span(sign, **{"aria-hidden": "true"}), html.Span(words, className="hidden")],
        type="button",
        title=words,
        **{"data-turn": does, "data-answer": key, "data-value": item.id, "data-before": before},
        **({} if possible else {"aria-disabled": "true"}),
    )


def _stretch(measured: Measured, told: Sentence) -> Component | None:
    """Return the place of the stretch of timeline where it was measured, where that is not most of it."""
    view = measured.picture.view
    low, high = column.stretch(told.spans, view)
    if not told.spans or high - low > MOST_OF_IT * (view[1] - view[0]):
        return None
    source = event_address(measured.event_id, "team-timeline")
    places = {"data-from": f"{low:.1f}", "data-to": f"{high:.1f}"}
    return html.Div(className="drawn", **{"data-drawing": source}, **places)


@lru_cache(maxsize=KEPT * MOST)
def _behind(measured: Measured, point: Point) -> Component:
    """Return what stands behind a point: that of its figure, or the marks of its pauses and doses."""
    assert point.told is not None
    if point.about in point.told.figures:
        return column.evidence(measured.report, point.told.figure, measured.rows, measured.files)
    rows = [row for row in measured.rows if stands_behind(row, set(point.marks))]
    return html.Div(
        [
            html.H3(say("pages.evidence_marks")),
            listed(rows[: column.MOST_ROWS], measured.files),
        ],
        className="evidence",
    )
