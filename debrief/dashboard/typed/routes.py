"""What the script of a typed sheet asks for: its page, what is understood, to keep it, to make an event."""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from flask import Flask, Response, jsonify, request
from werkzeug.exceptions import RequestEntityTooLarge

from debrief import words
from debrief.dashboard.addresses import event_address
from debrief.dashboard.files import OWN_HEADER
from debrief.dashboard.markup import to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.typed import beside, drafts, frame, pictures, second
from debrief.dashboard.typed.drafts import ANY_SHEET, Draft, Outdated
from debrief.dashboard.typed.understanding import Understood, understand
from debrief.dashboard.typed.vocabulary import words as vocabulary
from debrief.errors import BadSetting, NotKept
from debrief.importers.typed import to_csv

LEAST_PX, MOST_PX = 320, 2400

Answer = tuple[Response, int]


def register(server: Flask, reports: Reports) -> None:
    """Add ``/type/<sheet>/page``, ``understood``, ``draft``, ``picture``, ``remove``, ``event`` to a server.

    What is wrong is answered as ``{"message": sentence}``: 400 what makes no sense, 403 another site, 404 no
    such sheet, 409 kept by somebody else since, 413 too large, 507 what cannot be written.
    """
    shelf = reports.shelf

    def refusal(sheet: str) -> Answer | None:
        """Return why a request is not heard, null where it is."""
        if OWN_HEADER not in request.headers:
            return jsonify(message=words.say("pages.files_foreign")), 403
        if not ANY_SHEET.fullmatch(sheet):
            return jsonify(message=words.say("typing.no_sheet")), 404
        return None

    @server.get("/type/<sheet>/page")
    def typed_page(sheet: str) -> Answer:
        if not ANY_SHEET.fullmatch(sheet):
            return jsonify(message=words.say("typing.no_sheet")), 404
        folder = drafts.folder_of(shelf, sheet)
        try:
            draft, version = drafts.read_draft(folder)
        except BadSetting as error:
            return jsonify(message=str(error)), 400
        again = sheet.startswith(second.LETTER)
        html = to_html(frame.page(draft, is_event=drafts.is_event(shelf, sheet), again=again))
        return jsonify(
            html=html,
            draft=_plain(draft),
            version=version,
            words=vocabulary(),
            picture=_media_type(sheet),
        ), 200

    @server.post("/type/<sheet>/understood")
    def typed_understood(sheet: str) -> Answer:
        if refused := refusal(sheet):
            return refused
        sent = request.get_json(silent=True) or {}
        try:
            draft = drafts.checked(sent.get("draft"))
            found = understand(draft, shelf.remembered, reports.site)
        except BadSetting as error:
            return jsonify(message=str(error)), 400
        return jsonify(_answer(draft, found, sent.get("width"))), 200

    @server.post("/type/<sheet>/draft")
    def typed_draft(sheet: str) -> Answer:
        return written(sheet, finished=False)

    @server.post("/type/<sheet>/event")
    def typed_event(sheet: str) -> Answer:
        return written(sheet, finished=True)

    def written(sheet: str, finished: bool) -> Answer:
        if refused := refusal(sheet):
            return refused
        sent = request.get_json(silent=True) or {}
        try:
            draft = drafts.checked(sent.get("draft"))
            if finished and understand(draft, shelf.remembered, reports.site).report is None:
                return jsonify(message=words.say("typing.nothing")), 400
            version = drafts.keep(shelf, sheet, draft, int(sent.get("version") or 0))
            address = None
            if finished and sheet.startswith(second.LETTER):
                address = event_address(second.keep_second(shelf, sheet, draft), "agreement")
            elif finished:
                address = event_address(drafts.finish(shelf, sheet, draft, reports.asked))
        except Outdated as error:
            return jsonify(message=str(error)), 409
        except (BadSetting, ValueError, TypeError) as error:
            return jsonify(message=str(error)), 400
        except NotKept as error:
            return jsonify(message=str(error), rows=to_csv(draft.rows, draft.elapsed)[0]), 507
        return jsonify(version=version, address=address), 200

    @server.post("/type/<sheet>/remove")
    def typed_removed(sheet: str) -> Answer:
        if refused := refusal(sheet):
            return refused
        drafts.remove(shelf, sheet)
        return jsonify(), 200

    @server.post("/type/<sheet>/picture")
    def typed_picture_kept(sheet: str) -> Answer:
        if refused := refusal(sheet):
            return refused
        try:
            content = b""
            if file := request.files.get("picture"):
                content = file.read()
                file.close()
            pictures.keep_picture(shelf, sheet, content)
        except RequestEntityTooLarge:
            most_mb = pictures.MOST_PICTURE_BYTES // 1_000_000
            return jsonify(message=words.say("typing.picture_too_big", most_mb=most_mb)), 413
        except BadSetting as error:
            return jsonify(message=str(error)), 400
        except NotKept as error:
            return jsonify(message=str(error)), 507
        return jsonify(picture=_media_type(sheet)), 200

    @server.get("/type/<sheet>/picture")
    def typed_picture(sheet: str) -> Response:
        found = picture_of(sheet) if ANY_SHEET.fullmatch(sheet) else None
        if found is None:
            return Response(words.say("typing.no_sheet"), 404, mimetype="text/plain")
        shown = Response(found[0].read_bytes(), mimetype=found[1])
        # the browser's own reader of PDF stands in a frame of our page
        shown.headers["Content-Security-Policy"] = "frame-ancestors 'self'"
        return shown

    def _media_type(sheet: str) -> str | None:
        found = picture_of(sheet)
        return found[1] if found else None

    def picture_of(sheet: str) -> tuple[Path, str] | None:
        """Return the picture of a sheet; of a second entry that of the event, since both have one paper."""
        found = pictures.picture_of(drafts.folder_of(shelf, sheet))
        if found is None and sheet.startswith(second.LETTER):
            with suppress(BadSetting):
                found = pictures.picture_of(shelf.folder(second.event_of(shelf, sheet)))
        return found


def _plain(draft: Draft) -> dict[str, Any]:
    return {"rows": list(map(list, draft.rows)), "about": dict(draft.about), "elapsed": draft.elapsed}


def _answer(draft: Draft, found: Understood, width: object) -> Mapping[str, Any]:
    """Return what is understood: each row by its number, parts of the page as HTML, what is refused."""
    room = min(max(width, LEAST_PX), MOST_PX) if isinstance(width, int) else 1000
    return {
        "rows": {str(number): beside.row(one, found.population) for number, one in found.rows.items()},
        "parts": {name: to_html(part) for name, part in beside.beside(found, room).items()},
        "refused": draft.settings()[1],
    }
