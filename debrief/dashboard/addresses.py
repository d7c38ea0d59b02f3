"""Addresses of the pages of an event, whose name may hold any letters.

A slash, or dots alone, would be read as folders even where they are percent-coded, so they are coded twice.
"""

import re
from urllib.parse import quote, unquote

from flask import Flask, Response
from werkzeug.routing import BaseConverter

_EVENT = re.compile(r"/event/([^/]+)")


def event_address(event_id: str, page: str = "") -> str:
    """Return the address of an event, or of one of its pages: ``/event/Ward%203/clocks``."""
    return f"/event/{event_part(event_id)}" + (f"/{page}" if page else "")


def event_part(event_id: str) -> str:
    """Return what stands for an event in an address."""
    once = event_id.replace("%", "%25").replace("/", "%2F")
    if not event_id.strip("."):
        once = once.replace(".", "%2E")
    return quote(once, safe="")


def event_named(part: str) -> str:
    """Return the event that a part of an address names, as the browser has it."""
    return _Event.name(unquote(part))


def event_in(path: str) -> str:
    """Return the event of an address below ``/event/``, as the browser has it; of another address none."""
    match = _EVENT.match(path)
    return event_named(match[1]) if match else ""


class _Event(BaseConverter):
    """An event in the addresses that a server answers, where they are decoded once already."""

    @staticmethod
    def name(value: str) -> str:
        return unquote(value)

    def to_python(self, value: str) -> str:
        return self.name(value)


def register(server: Flask) -> None:
    """Let addresses of a server name events: ``/event/<event:event_id>/strip``."""
    server.url_map.converters["event"] = _Event


def attached(response: Response, name: str) -> Response:
    """Return an answer as a file to be kept under a name of any letters."""
    response.headers.set("Content-Disposition", "attachment", filename=name.replace("/", "_"))
    return response
