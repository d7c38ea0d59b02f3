"""A trend as files: its points as CSV, its chart as SVG, and the report of a month or year as PDF."""

from flask import Flask, Response, request

from debrief.dashboard.across.asked import Asked
from debrief.dashboard.across.made import made
from debrief.dashboard.addresses import attached
from debrief.dashboard.reports import Reports
from debrief.dashboard.sheets import paper_named
from debrief.errors import BadSetting, DebriefError
from debrief.picture.curve import curve_csv
from debrief.picture.svg import paint_for_paper
from debrief.picture.trend_text import trend_csv
from debrief.reports.period import period_of, period_report
from debrief.words import say

WIDTH_PX = 1000


def register(server: Flask, reports: Reports) -> None:
    """Add ``/trends.csv``, ``/trends.svg`` and ``/trends/report.pdf`` to the server."""

    def refused(error: DebriefError) -> Response:
        return Response(str(error), 404, mimetype="text/plain")

    @server.get("/trends.csv")
    def points() -> Response:
        asked = Asked.of(request.query_string.decode())
        try:
            found = made(reports, asked)
        except DebriefError as error:
            return refused(error)
        text = ""
        if found:
            text = trend_csv(found.whole) if found.curve is None else curve_csv(found.curve)
        return attached(Response(text, mimetype="text/csv"), f"{asked.measure}.csv")

    @server.get("/trends.svg")
    def chart() -> Response:
        asked = Asked.of(request.query_string.decode())
        try:
            found = made(reports, asked)
            picture = found.picture(WIDTH_PX) if found else None
            if picture is None:
                raise BadSetting(say("trends_page.no_events"))
        except DebriefError as error:
            return refused(error)
        return Response(paint_for_paper(picture), mimetype="image/svg+xml")

    @server.get("/trends/report.pdf")
    def report() -> Response:
        given = request.args
        try:
            if reports.shelf.kept is None:
                raise BadSetting(say("trends_page.no_events"))
            period = period_of(given.get("month"), given.get("year"))
            page = period_report(
                reports.shelf.kept,
                period,
                given.get("cohort", ""),
                site=reports.site,
                paper=paper_named(given.get("paper")),
            )
        except DebriefError as error:
            return refused(error)
        return attached(Response(page, mimetype="application/pdf"), f"report-{period.label}.pdf")
