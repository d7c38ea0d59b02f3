"""The sheet of an event as files: as PDF to print and hand on, as a picture to see first."""

from flask import Flask, Response, request

from debrief.dashboard.addresses import attached
from debrief.dashboard.reports import Reports
from debrief.errors import DebriefError
from debrief.reports.sheet import PAPERS, sheet
from debrief.reports.spoken import spoken
from debrief.reports.typeset import Form
from debrief.talk.kept import read_talk


def paper_named(name: str | None) -> str:
    """Return the paper that an address asks for; A4 where it names none that there is."""
    return name if name in PAPERS else next(iter(PAPERS))


def register(server: Flask, reports: Reports) -> None:
    """Add ``/event/<name>/sheet.pdf`` and ``sheet.png`` to the server."""

    def made(event_id: str, form: Form, kind: str) -> Response:
        try:
            measured = reports.get(event_id, request.args.get("edition"))
            page = sheet(
                measured.report,
                paper_named(request.args.get("paper")),
                spoken=spoken(measured.report, read_talk(measured.folder)),
                confidentiality=measured.assessment.edition.confidentiality,
                invented=reports.invented(event_id),
                form=form,
            )
        except DebriefError as error:
            return Response(str(error), 404, mimetype="text/plain")
        return Response(page, mimetype=kind)

    @server.get("/event/<event:event_id>/sheet.pdf")
    def sheet_pdf(event_id: str) -> Response:
        response = made(event_id, "pdf", "application/pdf")
        if response.status_code == 200:
            attached(response, f"{event_id}-sheet.pdf")
        return response

    @server.get("/event/<event:event_id>/sheet.png")
    def sheet_png(event_id: str) -> Response:
        return made(event_id, "png", "image/png")
