"""Cases as documents: replayed under a policy of their own, two beside each other, as files, taken in."""

from html import escape
from pathlib import PurePath

from flask import Flask, Response, jsonify, request

from debrief.dashboard.addresses import attached
from debrief.dashboard.cases import making
from debrief.dashboard.cases.listed import case_address
from debrief.dashboard.files import OWN_HEADER
from debrief.dashboard.reports import Reports
from debrief.errors import BadSetting, DebriefError
from debrief.reports.case import case_file, content_policy
from debrief.teaching import kept
from debrief.teaching.case import handed_on, taken_in
from debrief.words import language, say

_STYLE = (
    "html,body{margin:0;height:100%}body{display:flex;gap:4px;background:#888}"
    "iframe{flex:1;border:0;height:100%;min-width:0;background:#fff}"
)


def register(server: Flask, reports: Reports) -> None:
    """Add the addresses of cases.

    ``/case/<name>`` (also ``.html`` and ``.json`` to keep), ``/case-beside``, ``POST /cases``, and
    ``/event/<name>/replay``: the case that an event would make as it is.
    """

    @server.get("/event/<event:event_id>/replay")
    def replay(event_id: str) -> Response:
        try:
            return _document(case_file(making.as_it_is(reports, event_id)))
        except DebriefError as error:
            return Response(str(error), 404, mimetype="text/plain")

    @server.get("/case/<path:name>")
    def case(name: str) -> Response:
        registry, path = reports.shelf.registry, PurePath(name)
        try:
            as_file = name not in registry.named(kept.KIND) and path.suffix in (".html", ".json")
            one = kept.find(registry, str(path.with_suffix("")) if as_file else name)
            stands = one.stands()
            if not as_file:
                return _document(case_file(one.case, stands, one.role))
            if path.suffix == ".html":
                page = case_file(one.case, stands, one.role)
                return attached(Response(page, mimetype="text/html"), name)
            if stands != "approved":
                raise BadSetting(say("case.not_handed_on", why=say(f"teaching.standing_{stands}")))
            return attached(Response(handed_on(one.case), mimetype="application/json"), name)
        except DebriefError as error:
            return Response(str(error), 404, mimetype="text/plain")

    @server.get("/case-beside")
    def beside() -> Response:
        names = [request.args.get(key, "") for key in ("one", "other")]
        frames = "".join(
            f'<iframe src="{escape(case_address(name))}" title="{escape(name)}"></iframe>' for name in names
        )
        page = (
            f'<!doctype html><html lang="{language().code}"><head><meta charset="utf-8">'
            f"<title>{escape(say('cases.beside'))}</title><style>{_STYLE}</style></head><body>{frames}</body></html>"
        )
        response = Response(page, mimetype="text/html")
        response.headers["Content-Security-Policy"] = f"{content_policy(_STYLE)}; frame-src 'self'"
        return response

    @server.post("/cases")
    def take_in() -> tuple[Response, int]:
        if OWN_HEADER not in request.headers:
            return jsonify(message=say("pages.files_foreign")), 403
        file, name = request.files.get("file"), request.form.get("name", "").strip()
        try:
            if file is None or not name:
                raise BadSetting(say("cases.no_name"))
            if name in reports.shelf.registry.named(kept.KIND):
                raise BadSetting(say("case.name_taken", read=name))
            kept.keep(reports.shelf.registry, name, taken_in(file.read()))
        except DebriefError as error:
            return jsonify(message=str(error)), 400
        return jsonify(go="/cases"), 200


def _document(page: bytes) -> Response:
    """Return a case to be replayed; its own policy stands within it, and only our pages may frame it."""
    response = Response(page, mimetype="text/html")
    response.headers["Content-Security-Policy"] = "frame-ancestors 'self'"
    return response
