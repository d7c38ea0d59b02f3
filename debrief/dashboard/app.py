"""The application factory and the server: what wraps every page."""

import logging
import os
import threading
import webbrowser
from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path
from urllib.parse import quote

import waitress
from dash import ClientsideFunction, Dash, Input, Output, State, dcc, html
from flask import Flask, Response, request
from flask_compress import Compress

from debrief import targets, words
from debrief.assess import Asked
from debrief.dashboard import across, addresses, downloads, files, router, sheets, shell
from debrief.dashboard.addresses import event_address, event_in
from debrief.dashboard.cases import routes as cases
from debrief.dashboard.pages import PAGES, event
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.shell import URL
from debrief.picture.theme import THEMES
from debrief.registry.background import Background
from debrief.resources import shipped

PAGE = "page"
PAINTED = "painted"
FONT = "/assets/fonts/atkinson-hyperlegible-next-latin-wght-normal.woff2"
PLOTLY = "/_dash-component-suites/plotly/package_data/plotly.min.js"

INDEX = """<!DOCTYPE html>
<html lang="{language}"{theme}>
<head>
<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<link rel="icon" href="/assets/icon.svg" type="image/svg+xml">
<link rel="preload" href="{font}" as="font" type="font/woff2" crossorigin>
{ahead}
<style>{tokens}</style>
{css}
</head>
<body>
{app_entry}
<footer class="loader">{config}{scripts}{renderer}</footer>
</body>
</html>"""


class Pages(Dash):
    """Dash with our own document around the pages: language, title and theme are there before any script."""

    reports: Reports

    def interpolate_index(self, **parts: str) -> str:
        """Return the document for the address that is asked for."""
        theme = request.cookies.get("theme", "")
        has_timeline = event.ADDRESS.fullmatch(request.path)
        if has_timeline:
            self.reports.begin(event_in(quote(request.path)), event.prepare)
        return INDEX.format(
            language=words.language().code,
            theme=f' data-theme="{theme}"' if theme in THEMES else "",
            title=escape(shell.title(quote(request.path))),
            # fetched and started while the program still measures, and not first when the graph asks for it
            ahead=f'<script defer src="{PLOTLY}"></script>' if has_timeline else "",
            font=FONT,
            tokens=shell.tokens_css(),
            **{name: parts[name] for name in ("css", "app_entry", "config", "scripts", "renderer")},
        )


def create_app(
    shelf: Shelf,
    hosts: Sequence[str] | None = ("127.0.0.1", "localhost", "[::1]"),
    site: Path | None = None,
) -> Dash:
    """Return the application over a shelf of events. Nothing is shared between two of them.

    Parameters
    ----------
    shelf
        The events that can be opened.
    hosts
        Names under which the pages may be asked for; null for any, where the site guards that itself.
    site
        The site's file.
    """
    os.environ["DASH_DISABLE_VERSION_CHECK"] = "true"
    server = Flask("debrief")
    server.config.update(
        TRUSTED_HOSTS=list(hosts) if hosts is not None else None,
        MAX_CONTENT_LENGTH=files.MOST_BYTES + files.FORM_BYTES,
        COMPRESS_ALGORITHM=["br", "gzip"],
        COMPRESS_BR_LEVEL=4,
    )
    app = Pages(
        "debrief",
        server=server,
        assets_folder=str(shipped("assets")),
        serve_locally=True,
        include_pages_meta=False,
        update_title=None,
        enable_mcp=False,
        compress=False,
        suppress_callback_exceptions=True,
    )
    addresses.register(server)
    _speak(server)
    app.layout = _layout
    app.reports = reports = Reports(shelf, site)
    for page in PAGES:
        page.register(app, reports)

    @app.callback(Output(PAGE, "children"), Input(URL, "pathname"), State(URL, "search"), on_error=_broken)
    def show_page(path: str, search: str) -> object:
        return router.page_at(PAGES, path, search, reports)

    app.clientside_callback(
        ClientsideFunction("page", "paint"), Output(PAINTED, "title"), Input(shell.PARTS, "data")
    )
    app.clientside_callback(
        ClientsideFunction("page", "paint"),
        Output(PAINTED, "title", allow_duplicate=True),
        Input(shell.DRAWN, "data"),
        prevent_initial_call=True,
    )
    files.register(server, reports)
    downloads.register(server, reports)
    across.register(server, reports)
    sheets.register(server, reports)
    cases.register(server, reports)
    if hosts is None:  # on one computer, packing takes longer than sending
        Compress(server)
    _guard(app)
    return app


def _layout() -> html.Div:
    return html.Div(
        [
            html.A(words.say("pages.skip"), href="#main", className="skip"),
            dcc.Location(id=URL, refresh=False),
            html.Div(id=PAGE),
            html.Div(id=PAINTED, hidden=True),
            dcc.Store(id=shell.PARTS),
            dcc.Store(id=shell.DRAWN),
        ]
    )


def _speak(server: Flask) -> None:
    """Answer each request in the language that its browser chose, else in the program's own."""
    own = words.language().name

    @server.before_request
    def speak() -> None:
        words.speak(words.language_named(request.cookies.get("language", "")) or own)


def _broken(error: Exception) -> object:
    """Log a mistake of ours and show a page that says so, rather than none."""
    logging.getLogger("debrief").error("a page could not be made", exc_info=error)
    return router.refusal(words.say("pages.broken_title"), words.say("pages.broken"))


def _guard(app: Dash) -> None:
    """Send the headers that keep a page to itself: nothing from or to the outside, nothing cached."""
    policy = "; ".join(
        [
            "default-src 'self'",
            f"script-src 'self' {' '.join(app.csp_hashes())}",
            "style-src 'self' 'unsafe-inline'",  # plotly and React write styles into elements
            "img-src 'self' data: blob:",
            "connect-src 'self'",
            "worker-src 'self' blob:",
            "object-src 'none'",
            "base-uri 'self'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        ]
    )

    @app.server.after_request
    def headers(response: Response) -> Response:
        response.headers.setdefault("Content-Security-Policy", policy)
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["Referrer-Policy"] = "no-referrer"
        response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
        if not request.path.startswith(("/assets/", "/_dash-component-suites/")):
            response.headers["Cache-Control"] = "no-store"
        return response


def serve(
    paths: Sequence[Path],
    host: str = "127.0.0.1",
    port: int = 8050,
    open_browser: bool = True,
    announce: Callable[[str], None] = lambda address: None,
    site: Path | None = None,
    registry: str | Path | None = None,
    complain: Callable[[str], object] | None = None,
) -> None:
    """Serve the pages until stopped; the paths are put on the shelf and shown: one event, or the list of all.

    Parameters
    ----------
    paths
        Files, event folders, folders of files, or names of events of the registry; none opens the start page.
    host, port
        Where to listen. Anything but this computer's own address shows the events to the network.
    open_browser
        Ask the system to open the page.
    announce
        Is told the address of the page, once it can be opened.
    site
        The site's file.
    registry
        A folder, or the address of a server; null: the user's own.
    complain
        Is told of files that cannot be kept; null makes them an error.

    Raises
    ------
    DebriefError
        Where the site's file says what cannot be, or a path or the registry cannot be opened.
    OSError
        Where that port is taken.
    """
    targets.load(None, site)
    shelf = Shelf(registry=registry)
    asked = Asked(site=site, draws=0)
    names = [name for path in paths for name in shelf.open(path, asked, complain)]
    own = host in ("127.0.0.1", "localhost", "::1")
    app = create_app(shelf, site=site) if own else create_app(shelf, hosts=None, site=site)
    address = f"http://{'127.0.0.1' if host == '0.0.0.0' else host}:{port}/"
    if names:
        address += event_address(names[0])[1:] if len(names) == 1 else "events"
    server = waitress.create_server(app.server, host=host, port=port, threads=8, ident=None)
    announce(address)
    if open_browser:
        threading.Timer(0.5, webbrowser.open, [address]).start()
    bounds = Background(lambda: shelf.kept, lambda: shelf.how(Asked(site=site)))
    bounds.start()
    try:
        server.run()
    finally:
        bounds.stop()
