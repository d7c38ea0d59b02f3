"""A server over a fresh shelf, one browser and one window for all; nothing may leave this computer."""

import shutil
import threading

import pytest
import waitress

from debrief.dashboard.app import create_app
from debrief.dashboard.shelf import Shelf

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--force-color-profile=srgb"]


def chromium():
    """Return where the system keeps Chromium, or None."""
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
    return next((found for name in names if (found := shutil.which(name))), None)


@pytest.fixture(scope="session")
def shelf(tmp_path_factory):
    return Shelf(tmp_path_factory.mktemp("home"))


@pytest.fixture(scope="session")
def address(shelf):
    """Where the pages are served."""
    server = waitress.create_server(create_app(shelf).server, host="127.0.0.1", port=0, threads=6)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()
    thread.join(5)


@pytest.fixture(scope="session")
def browser():
    path = chromium()
    if path is None:
        pytest.skip("no Chromium is installed; the browser tests need the system's own")
    with sync_api.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def window(browser, address):
    """One window for all, so that scripts are loaded once. Every request and complaint is kept."""
    context = browser.new_context(
        base_url=address,
        viewport={"width": 1440, "height": 1000},
        locale="en-GB",
        timezone_id="Europe/Vienna",
        reduced_motion="reduce",
        service_workers="block",
    )
    context.set_default_timeout(15_000)
    page = context.new_page()
    page.outside, page.complaints = [], []
    page.on("request", lambda request: page.outside.append(request.url) if is_outside(request.url) else None)
    page.on("console", lambda line: page.complaints.append(line.text) if line.type == "error" else None)
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    yield page
    context.close()


@pytest.fixture
def page(window):
    """The window; a test fails where anything was asked of the outside or the browser complained."""
    window.goto("about:blank")  # what was shown before may ask for an event that is gone
    window.outside.clear()
    window.complaints.clear()
    yield window
    assert [] == window.outside
    assert [] == window.complaints


def is_outside(url):
    """Return whether a request leaves this computer."""
    return not url.startswith(("http://127.0.0.1:", "data:", "blob:", "about:"))
