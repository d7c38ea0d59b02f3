"""What the script of the team's page asks for: what stands of the talk, what changes it, drawings."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from dash import html
from dash.development.base_component import Component
from flask import Flask, Response, jsonify, request
from markupsafe import Markup

from debrief import words
from debrief.dashboard.addresses import attached
from debrief.dashboard.files import OWN_HEADER
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.reports import Measured, Reports
from debrief.dashboard.team import board, chapters, doings
from debrief.dashboard.timeline import within
from debrief.errors import DebriefError
from debrief.importers.folder import TALK
from debrief.model.contract import Report
from debrief.picture import svg
from debrief.picture.layout import lay_out
from debrief.picture.plain import Picture
from debrief.picture.strip import lay_strip
from debrief.reports.handover import handover
from debrief.talk.actions import earlier_actions
from debrief.talk.changes import SECTIONS, checked
from debrief.talk.kept import read_talk

LEAST_PX, MOST_PX = 320, 2400
MOST_CHANGES = 500
"""How many changes are taken at once."""

FROM_AFAR = frozenset(
    {
        "pulseless", "team_arrival", "rosc", "rearrest", "ecls_flow", "efforts_ended",
        "transfer", "airway", "drug", "shock", "cardioversion", "rhythm", "rhythm_check", "pulse_check",
        "equipment_problem", "ultrasound", "cannulation",
    }
)  # fmt: skip
"""What is drawn for the team: what can be read from across the room. The event's own page has all of it."""

MeasuredAt = Callable[[str, str], Measured]
"""Returns an event by its name and what stands behind the question mark of the address."""


def register(server: Flask, reports: Reports, measured: MeasuredAt) -> None:
    """Add ``/event/<name>/talk``, ``team-timeline``, ``strip`` and ``handover.zip`` to the server."""

    def found(event_id: str) -> Measured:
        return measured(event_id, request.query_string.decode())

    @server.get("/event/<event:event_id>/talk")
    def standing(event_id: str) -> tuple[Response, int]:
        try:
            event = found(event_id)
            if request.args.get("have") == _size(event):
                return jsonify(), 204
            return jsonify(answer(event, reports, _meeting())), 200
        except DebriefError as error:
            return jsonify(message=str(error)), 404

    @server.post("/event/<event:event_id>/talk")
    def change(event_id: str) -> tuple[Response, int]:
        if OWN_HEADER not in request.headers:
            return jsonify(message=words.say("pages.files_foreign")), 403
        sent = request.get_json(silent=True)
        given = sent.get("changes") if isinstance(sent, dict) else None
        try:
            event = found(event_id)
            changes = [checked(one) for one in (given if isinstance(given, list) else [])[:MOST_CHANGES]]
        except DebriefError as error:
            return jsonify(message=str(error)), 400
        try:
            reports.shelf.add_to_talk(event_id, changes)
        except (
            DebriefError
        ) as error:  # what was sent is shown all the same, and the browser goes on keeping it
            return jsonify(message=str(error), parts=parts(event, reports, _meeting(), changes)), 507
        return jsonify(answer(found(event_id), reports, _meeting())), 200

    @server.get("/event/<event:event_id>/team-timeline")
    def timeline(event_id: str) -> Response:
        return drawing(event_id, for_the_team)

    @server.get("/event/<event:event_id>/handover.zip")
    def hand_over(event_id: str) -> Response:
        try:
            event = found(event_id)
        except DebriefError as error:
            return Response(str(error), 404, mimetype="text/plain")
        made = handover(
            event.report,
            read_talk(event.folder),
            event.folder,
            with_sources=request.args.get("sources") == "yes",
            confidentiality=event.assessment.edition.confidentiality,
        )
        return attached(Response(made, mimetype="application/zip"), f"{event_id}-handover.zip")

    @server.get("/event/<event:event_id>/strip")
    def strip(event_id: str) -> Response:
        return drawing(event_id, lambda report, _, width: lay_strip(report, width))

    def drawing(event_id: str, draw: Callable[[Report, Any, int], Picture | None]) -> Response:
        """Answer with a drawing in the colours of the page that it stands in."""
        try:
            event = found(event_id)
            picture = draw(event.report, within(_stretch(), event), _width())
        except DebriefError as error:
            return Response(str(error), 404, mimetype="text/plain")
        return Response(to_html(staged(picture)) if picture else "", mimetype="text/html")


def staged(picture: Picture) -> Component:
    """Return a drawing with what it takes to find a time on it. [s, px]"""
    left, right, (start, end) = picture.left, picture.right, picture.view
    places = {"width": picture.width, "left": left, "right": right, "from": start, "to": end}
    return html.Div(
        Markup(svg.paint(picture, "page", name=f"{picture.lanes[0].id}{start:.0f}")),
        className="stage",
        **{f"data-{name}": f"{place:.3f}" for name, place in places.items()},
    )


def _size(event: Measured) -> str:
    """Return how much is kept of a talk: it only ever grows, so that a change is seen by it alone."""
    path = event.folder / TALK
    return str(path.stat().st_size if path.is_file() else 0)


def _meeting() -> str:
    return "cold" if request.args.get("meeting") == "cold" else "hot"


def _width() -> int:
    width = request.args.get("width", type=int) or 900
    return min(max(width, LEAST_PX), MOST_PX)


def _stretch() -> tuple[float, float] | None:
    start, end = request.args.get("from", type=float), request.args.get("to", type=float)
    return (start, end) if start is not None and end is not None and start < end else None


def for_the_team(report: Report, stretch: tuple[float, float] | None, width: int) -> Picture:
    """Lay out what can be read from across the room: few marks, no clock times. [s, px]"""
    few: Report = {
        **report,
        "occurrences": [one for one in report["occurrences"] if one["kind"] in FROM_AFAR],
    }
    picture = lay_out(few, stretch, width)
    ticks = tuple(replace(tick, wall="") for tick in picture.ticks)
    return replace(picture, height=picture.axis_y + 44, ticks=ticks)


def answer(event: Measured, reports: Reports, meeting: str) -> Mapping[str, Any]:
    """Return what stands of a talk: parts of the page as HTML, and what its fields hold."""
    return {"size": _size(event), "parts": parts(event, reports, meeting), "state": state(event, meeting)}


def parts(
    event: Measured, reports: Reports, meeting: str, unkept: Sequence[Mapping[str, str]] = ()
) -> dict[str, str]:
    """Return the parts of the page that change while the team talks; ``unkept``: changes it lacks."""
    now, shelf = datetime.now(UTC).isoformat(timespec="seconds"), reports.shelf
    talk = read_talk(event.folder, [{"at": now, **change} for change in unkept])
    made: dict[str, Part | list[Part]] = {
        "team-points": board.board(event, talk),
        chapters.HERE: chapters.here(talk.meeting(meeting)),
        doings.ACTIONS: doings.actions(event.report, talk),
        doings.EARLIER: doings.earlier(earlier_actions(shelf.talks(), event.event_id), shelf.title),
        "team-unread": words.say("talk.unread", file=TALK, count=talk.unread) if talk.unread else None,
    }
    for section in SECTIONS:
        made[chapters.names_part(section)] = chapters.names(talk.meeting(meeting).notes.get(section, ""))
    return {name: to_html(part) for name, part in made.items()}


def state(event: Measured, meeting: str) -> dict[str, Any]:
    """Return what the fields of the page hold: notes, ticks, the clock. [s]"""
    standing = read_talk(event.folder).meeting(meeting)
    return {
        "notes": {section: standing.notes.get(section, "") for section in SECTIONS},
        "themes": {section: standing.themes.get(section, []) for section in SECTIONS},
        "running": standing.running,
        "lasted_s": standing.lasted_s(),
    }
