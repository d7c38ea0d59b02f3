"""The way in for files: an ordinary multipart form, no base64 inside a callback."""

from collections.abc import Sequence
from dataclasses import asdict

from flask import Flask, Response, jsonify, request
from werkzeug.exceptions import RequestEntityTooLarge

from debrief import words
from debrief.dashboard.reports import Reports
from debrief.dashboard.taking_in import Became, labels_of, take_in
from debrief.errors import DebriefError

MOST_BYTES = 50_000_000
MOST_FILES = 60
FORM_BYTES = 100_000
"""What the form itself may take beside its files."""

OWN_HEADER = "X-Debrief"
"""Only a script of our own pages can send it: another site's form cannot put files here."""


def register(server: Flask, reports: Reports) -> None:
    """Add ``POST /files`` (fields ``files`` and ``as``: ``ask``, ``one`` or ``several``) to the server.

    It answers ``{"became": [{did, said, address, attention}, ...], "go": address or null}``, an address where
    there is nothing to tell but that one event is new; ``{"holds": [label, ...]}`` where a single file holds
    several events and nobody has said yet whether to part them; ``{"message": sentence}`` with status 400,
    403, 413, 507.
    """

    @server.post("/files")
    def take() -> tuple[Response, int]:
        if OWN_HEADER not in request.headers:
            return jsonify(message=words.say("pages.files_foreign")), 403
        try:
            sent = [(file.filename or "", file.read()) for file in request.files.getlist("files")]
        except RequestEntityTooLarge:
            most_mb = MOST_BYTES // 1_000_000
            return jsonify(message=words.say("pages.files_too_big", most_mb=most_mb)), 413
        if not sent:
            return jsonify(message=words.say("pages.files_none")), 400
        if len(sent) > MOST_FILES:
            return jsonify(message=words.say("pages.files_too_many", most=MOST_FILES)), 413
        if empty := [name for name, content in sent if not content]:
            return jsonify(message=words.say("pages.files_empty", file=empty[0])), 400
        wanted = request.form.get("as")
        try:
            if wanted == "ask" and len(sent) == 1:
                labels = labels_of(sent[0], reports.shelf)
                if len(labels) > 1:
                    return jsonify(holds=labels), 200
            became = take_in(reports.shelf, sent, wanted != "several", reports.asked)
        except DebriefError as error:
            return jsonify(message=str(error)), 507
        return jsonify(became=[asdict(one) for one in became], go=_go(became)), 200


def _go(became: Sequence[Became]) -> str | None:
    """Return where to go at once: to the one event that is new."""
    return became[0].address if [one.did for one in became] == ["added"] else None
