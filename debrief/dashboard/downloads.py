"""An event as files: its report as JSON as the contract has it, its figures as CSV, its timeline as SVG."""

import json

from flask import Flask, Response, request

from debrief.dashboard.addresses import attached
from debrief.dashboard.reports import Reports
from debrief.dashboard.timeline import for_paper
from debrief.errors import DebriefError
from debrief.picture.figures_csv import figures_csv
from debrief.words import say


def register(server: Flask, reports: Reports) -> None:
    """Add ``/event/<name>/report.json``, ``figures.csv`` and ``timeline.svg`` to the server.

    What stands apart is ``timeline-2.svg`` and so on, by the number of its group.
    """

    def download(event_id: str, name: str, kind: str) -> Response:
        try:
            report = reports.get(event_id, request.args.get("edition")).report
        except DebriefError as error:
            return Response(str(error), 404, mimetype="text/plain")
        text = (
            json.dumps(report, ensure_ascii=False, allow_nan=False, indent=2)
            if name.endswith("json")
            else figures_csv([report])
        )
        return attached(Response(text, mimetype=kind), f"{event_id}-{name}")

    @server.get("/event/<event:event_id>/timeline.svg")
    @server.get("/event/<event:event_id>/timeline-<int:group>.svg")
    def picture(event_id: str, group: int = 1) -> Response:
        try:
            measured = reports.get(event_id)
        except DebriefError as error:
            return Response(str(error), 404, mimetype="text/plain")
        groups = [measured.report, *measured.report["apart"]]
        if not 1 <= group <= len(groups):
            return Response(say("clock_page.no_group", read=group), 404, mimetype="text/plain")
        return Response(for_paper(measured, groups[group - 1]), mimetype="image/svg+xml")

    @server.get("/event/<event:event_id>/report.json")
    def report_json(event_id: str) -> Response:
        return download(event_id, "report.json", "application/json")

    @server.get("/event/<event:event_id>/figures.csv")
    def figures_table(event_id: str) -> Response:
        return download(event_id, "figures.csv", "text/csv")
