"""What a cold debrief has more: the talk that was held at once, to be read, and the file for hand-over."""

from dash import html
from dash.development.base_component import Component

from debrief.dashboard.addresses import event_address
from debrief.dashboard.markup import Part, tag
from debrief.dashboard.reports import Measured
from debrief.dashboard.team.chapters import so_many
from debrief.model.times import clock
from debrief.talk.changes import SECTIONS, THEMED
from debrief.talk.kept import Meeting
from debrief.words import say

FIGURES = "figures"


def turn(event_id: str, cold: bool) -> Component:
    """Return the way from the talk held at once to the later one, and back."""
    ways = (("hot", "", not cold), ("cold", "?cold=1", cold))
    return html.P(
        [
            html.A(
                say(f"talk.{name}"),
                href=event_address(event_id, "team") + query,
                **({"aria-current": "true"} if here else {}),
            )
            for name, query, here in ways
        ],
        className="turns",
    )


def before(hot: Meeting) -> list[Part]:
    """Return what the team wrote right after the event; nobody changes it any more from here."""
    if hot.empty:
        return [html.P(say("talk.no_hot"), className="note")]
    lasted = say("talk.hot_lasted", time=clock(hot.lasted_s())) if hot.stretches else None
    here = ", ".join(so_many(one) for one in hot.here.values())
    return [
        html.H2(say("talk.hot_title")),
        html.P([lasted, " " if lasted and here else None, say("talk.hot_here", who=here) if here else None])
        if lasted or here
        else None,
        *(part for section in SECTIONS for part in _section(hot, section)),
    ]


def _section(hot: Meeting, section: str) -> list[Part]:
    themes = hot.themes.get(section, ()) if section in THEMED else ()
    note = hot.notes.get(section, "")
    if not themes and not note.strip():
        return []
    ticked = ", ".join(say(f"talk.theme.{theme}") for theme in themes)
    return [
        html.H3(say(f"talk.chapter.{section}")),
        html.P(ticked, className="note") if ticked else None,
        html.P(note, className="written", dir="auto") if note.strip() else None,
    ]


def hand_over(measured: Measured) -> list[Part]:
    """Return the way to the file for hand-over; source files only where somebody ticks that they go along."""
    return [
        html.H2(say("talk.hand_over")),
        html.P(say("talk.hand_over_what"), className="note"),
        html.Label(
            [tag("input", type="checkbox", id="with-sources"), html.Span(say("talk.with_sources"))],
            className="switch",
        ),
        html.P(
            html.A(
                say("talk.hand_over_get"),
                href=event_address(measured.event_id, "handover.zip"),
                className="main",
                id="hand-over",
            )
        ),
    ]
