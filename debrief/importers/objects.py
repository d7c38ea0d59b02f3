"""JSON and JSON Lines: a list of marks, an event with its marks, or several events.

Numbers stay as they are written, so that none is rounded, too large or not a number before it is looked at.
"""

import codecs
import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import isfinite
from pathlib import Path
from typing import Any

from debrief.importers.grid import Cell, Contents, Grid, GridMaker, Importer
from debrief.importers.limits import check_size, refused
from debrief.importers.notices import Notice, notice
from debrief.importers.places import at

MAX_WHOLE_BYTES = 50_000_000
"""Of a JSON file, which has to be held whole; JSON Lines are read line by line."""
MARKS, EVENTS = "marks", "events"

_LINES = {".jsonl", ".ndjson"}
_SUFFIXES = {".json", *_LINES, ".txt", ".log", ""}
_DEEPEST = 4


def claims(path: Path, head: bytes) -> bool:
    """Tell whether this is JSON: by its name, and by beginning like a list or an object."""
    start = head.removeprefix(codecs.BOM_UTF8).lstrip()
    return path.suffix.lower() in _SUFFIXES and start.startswith((b"{", b"["))


def read(path: Path) -> Contents:
    """Open a file of objects, each list of marks as one grid.

    Raises
    ------
    UnreadableFile
        Where it is no JSON, too large, nested too deep, or holds no list of objects.
    """
    check_size(path)
    if path.suffix.lower() in _LINES:
        return _read_lines(path)
    if path.stat().st_size > MAX_WHOLE_BYTES:
        raise refused(path, "json_too_large", limit=MAX_WHOLE_BYTES // 1_000_000)
    try:
        whole = _parse(path.read_bytes())
    except RecursionError as error:
        raise refused(path, "json_too_deep") from error
    except json.JSONDecodeError as error:
        if error.msg.startswith("Extra data"):
            return _read_lines(path)
        raise refused(path, "broken_json", line=error.lineno, column=error.colno, reason=error.msg) from error
    except UnicodeDecodeError as error:
        raise refused(path, "wrong_encoding", encoding=error.encoding, byte=error.start) from error
    grids, notices = [], list[Notice]()
    try:
        for prefix, items, about in _lists(path, whole):
            grid = _grid(path, prefix, items, notices)
            if len(grid):
                grids.append(replace(grid, event=about.get("event_id"), about=about))
    except RecursionError as error:
        raise refused(path, "json_too_deep") from error
    if not grids:
        raise refused(path, "json_no_marks", found=_shape(whole))
    return Contents(tuple(grids), notices=tuple(notices))


class _Number(str):
    """A number as it is written."""

    __slots__ = ()


def _parse(text: bytes | str) -> Any:  # noqa: ANN401 - whatever stands there
    return json.loads(
        text, parse_int=_Number, parse_float=_Number, parse_constant=_Number, object_pairs_hook=_all_pairs
    )


def _all_pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return an object with every value in it, also where a name stands twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        found = {}
        for name, value in pairs:
            count = sum(known.rpartition(" (")[0] == name or known == name for known in found)
            found[f"{name} ({count + 1})" if count else name] = value
    return found


def _lists(path: Path, whole: object) -> Iterator[tuple[str, list[Any], dict[str, Any]]]:
    """Yield each list of marks, the pointer to it, and what stands beside it."""
    if isinstance(whole, dict) and isinstance(whole.get(EVENTS), list):
        yield from _events(f"/{EVENTS}/", whole[EVENTS])
    elif isinstance(whole, dict) and isinstance(whole.get(MARKS), list):
        yield f"/{MARKS}/", whole[MARKS], _beside(whole, MARKS)
    elif isinstance(whole, dict):
        named = [key for key, value in whole.items() if isinstance(value, list) and value]
        if len(named) != 1:
            raise refused(path, "json_no_marks", found=_shape(whole))
        escaped = named[0].replace("~", "~0").replace("/", "~1")
        yield f"/{escaped}/", whole[named[0]], _beside(whole, named[0])
    elif isinstance(whole, list):
        if whole and all(isinstance(each, dict) and isinstance(each.get(MARKS), list) for each in whole):
            yield from _events("/", whole)
        else:
            yield "/", whole, {}
    else:
        raise refused(path, "json_no_marks", found=_shape(whole))


def _events(prefix: str, events: list[Any]) -> Iterator[tuple[str, list[Any], dict[str, Any]]]:
    for number, event in enumerate(events):
        if isinstance(event, dict) and isinstance(event.get(MARKS), list):
            about = {"event_id": str(number + 1)} | _beside(event, MARKS)
            yield f"{prefix}{number}/{MARKS}/", event[MARKS], about


def _beside(item: Mapping[str, Any], marks: str) -> dict[str, Any]:
    """Return what stands beside a list of marks, its numbers as numbers."""
    return {key: _number(value) for key, value in item.items() if key != marks}


def _number(value: Any) -> Any:  # noqa: ANN401 - whatever stands there
    if not isinstance(value, _Number):
        return value
    number = float(value)
    return (int(number) if number.is_integer() else number) if isfinite(number) else str(value)


def _shape(whole: object) -> str:
    """Return what stands in a file in a few words."""
    if isinstance(whole, dict):
        return f"an object of {', '.join(map(repr, list(whole)[:8])) or 'nothing'}"
    return "an empty list" if whole == [] else "no object"


def _grid(path: Path, prefix: str, items: list[Any], notices: list[Notice]) -> Grid:
    """Return a list of objects, or of rows with a heading among them, as a grid."""
    maker = GridMaker(path)
    rows = bool(items) and all(isinstance(item, list) for item in items)
    for number, item in enumerate(items):
        if rows:
            maker.add(number, [_cell(value) for value in item])
        elif isinstance(item, dict):
            maker.add_named(number, _flat(item))
        else:
            notices.append(notice("json_no_object", at(number, prefix), read=json.dumps(item)[:40]))
    return maker.grid(prefix)


def _read_lines(path: Path) -> Contents:
    """Open JSON Lines. A line that is no object is told and left out, as where writing broke off."""
    maker = GridMaker(path)
    notices: list[Notice] = []
    with path.open("rb") as file:
        for number, line in enumerate(file, start=1):
            text = line.removeprefix(codecs.BOM_UTF8).strip()
            if not text:
                continue
            try:
                maker.add_named(number, _flat(_parse(text.decode("utf-8"))))
            except (ValueError, AttributeError, RecursionError):
                notices.append(
                    notice("json_no_object", at(number), read=text[:40].decode("utf-8", "replace"))
                )
    grid = maker.grid()
    if not len(grid):
        raise refused(path, "json_no_marks", found=_shape(None))
    return Contents((grid,), encoding="utf-8", notices=tuple(notices))


def _flat(item: Mapping[str, Any]) -> dict[str, Cell]:
    """Return an object with the objects in it laid open: ``{"drug": {"name": x}}`` is ``drug.name``."""
    found: dict[str, Cell] = {}
    level: list[tuple[str, Any]] = list(item.items())
    for depth in range(_DEEPEST):
        further = []
        for name, value in level:
            if isinstance(value, dict) and value and depth + 1 < _DEEPEST:
                further += [(f"{name}.{inner}", each) for inner, each in value.items()]
            else:
                found[_clean(name)] = _cell(value)
        level = further
    return found


def _cell(value: object) -> Cell:
    if isinstance(value, str):
        return _clean(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return ""
    return _clean(json.dumps(value, ensure_ascii=False))


def _clean(text: str) -> str:
    """Return a text that every encoding can write: halves of a pair that stand alone are replaced."""
    text = text.strip()
    return text if text.isascii() else text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


IMPORTER = Importer("json", claims, read)
