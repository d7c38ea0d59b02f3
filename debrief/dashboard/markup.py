"""HTML of what fills the parts of a page.

Dash keeps a watcher for every component that it manages, and a page of thousands of them answers in seconds.
So it manages the frame of a page alone; tables and sentences go to the browser as text that is safe to show.
"""

import re
from collections.abc import Mapping, Sequence
from typing import TypeAlias

from dash.development.base_component import Component
from markupsafe import Markup, escape

Part: TypeAlias = Component | Markup | str | None
"""What a page is made of."""

_RENAMED = {"className": "class", "htmlFor": "for", "colSpan": "colspan", "tabIndex": "tabindex"}
_NOT_SHOWN = ("_", "available_", "children", "n_clicks")
_EMPTY = frozenset({"input", "br", "img", "hr"})


def to_html(part: Part | Sequence[Part]) -> str:
    """Return a part as HTML. Text is escaped; only ``Markup`` goes through as it is."""
    pieces: list[str] = []
    _write(part, pieces)
    return "".join(pieces)


def tag(name: str, **attributes: str | bool | None) -> Markup:
    """Return an element that has no content, such as ``input``; underscores in names stand for hyphens."""
    hyphened = {key.replace("_", "-"): value for key, value in attributes.items()}
    return Markup(f"<{name}{_attributes(hyphened)}>")


def _write(part: object, pieces: list[str]) -> None:
    if part is None:
        return
    if isinstance(part, Component):
        _write_element(part, pieces)
    elif isinstance(part, list | tuple):
        for one in part:
            _write(one, pieces)
    else:
        pieces.append(str(escape(part)))


def _write_element(component: Component, pieces: list[str]) -> None:
    name = component._type.lower()
    properties = {key: value for key, value in vars(component).items() if not key.startswith(_NOT_SHOWN)}
    pieces.append(f"<{name}{_attributes(properties)}>")
    if name not in _EMPTY:
        _write(getattr(component, "children", None), pieces)
        pieces.append(f"</{name}>")


def _attributes(properties: Mapping[str, object]) -> str:
    made = []
    for key, value in properties.items():
        if value is None or value is False or (key == "className" and not value):
            continue
        name = _RENAMED.get(key, key)
        if isinstance(value, dict):
            value = ";".join(f"{_hyphened(each)}:{said}" for each, said in value.items())
        made.append(f" {name}" if value is True else f' {name}="{escape(value)}"')
    return "".join(made)


def _hyphened(name: str) -> str:
    return re.sub(r"[A-Z]", lambda letter: f"-{letter[0].lower()}", name)
