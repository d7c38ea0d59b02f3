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
_EMPTY = frozenset({"input", "br", "img", "hr"})


def to_html(part: Part | Sequence[Part]) -> str:
    """Return a part as HTML. Text is escaped; only ``Markup`` goes through as it is."""
    return str(_markup(part))


def tag(name: str, **attributes: str | bool | None) -> Markup:
    """Return an element that has no content, such as ``input``; underscores in names stand for hyphens."""
    return Markup("<{}{}>").format(
        Markup(name), _attributes({key.replace("_", "-"): value for key, value in attributes.items()})
    )


def _markup(part: object) -> Markup:
    if part is None:
        return Markup("")
    if isinstance(part, Component):
        return _element(part)
    if isinstance(part, list | tuple):
        return Markup("").join(_markup(one) for one in part)
    return escape(part)


def _element(component: Component) -> Markup:
    found = component.to_plotly_json()
    name, properties = found["type"].lower(), dict(found["props"])
    children = properties.pop("children", None)
    inside = Markup("") if name in _EMPTY else Markup("{}</{}>").format(_markup(children), Markup(name))
    return Markup("<{}{}>{}").format(Markup(name), _attributes(properties), inside)


def _attributes(properties: Mapping[str, object]) -> Markup:
    made = Markup("")
    for key, value in properties.items():
        if value is None or value is False or (key == "className" and not value):
            continue
        name = _RENAMED.get(key, key)
        if isinstance(value, dict):
            value = ";".join(f"{_hyphened(each)}:{said}" for each, said in value.items())
        made += (
            Markup(" {}").format(Markup(name))
            if value is True
            else Markup(' {}="{}"').format(Markup(name), value)
        )
    return made


def _hyphened(name: str) -> str:
    return re.sub(r"[A-Z]", lambda letter: f"-{letter[0].lower()}", name)
