"""Answers about an event: what a column holds, what a label means, how times are meant, who was treated.

What is asked of a layout is remembered for that layout; what is asked of this event goes into its event.json.
"""

from collections.abc import Mapping as Table
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, cast

from debrief import words
from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.shelf import Shelf
from debrief.errors import BadSetting, DebriefError
from debrief.importers import Answer, Settings, Understanding, understand
from debrief.importers.folder import Sitting, plan
from debrief.importers.joining import settings_of
from debrief.importers.mapping import SEVERAL, Mapping, Meaning
from debrief.model.event import WEIGHTS_KG

SEPARATOR = "|"
UNMAPPED = "unmapped"
ABOUT = ("population", "weight_kg", "unit", "date")
"""What is asked of the event itself; each is a key of event.json."""


@dataclass(frozen=True)
class Understood:
    """One source of an event: how it was understood, or the sentence that says why it was not."""

    file: str
    found: Understanding | None
    refusal: str = ""


def understood(folder: Path, remembered: Path | None) -> list[Understood]:
    """Return how each source of an event folder is understood as its answers stand.

    Raises
    ------
    BadSetting
        Where event.json says what cannot be.
    """
    known: list[Understood] = []
    planned = plan(folder)
    for sitting in planned.sittings:
        try:
            settings = settings_of(sitting, planned.context, Settings(remembered=remembered))
            known.append(Understood(sitting.file, understand(sitting.path, settings)))
        except DebriefError as error:
            known.append(Understood(sitting.file, None, str(error)))
    return known


def answer(shelf: Shelf, event_id: str, name: str, value: str) -> None:
    """Keep one answer: of the event with the event, of a layout in the registry; one after the other.

    Parameters
    ----------
    shelf, event_id
        Where the event is.
    name
        What is answered: ``event|population``, or a source's number and ``column|NAME``, ``label|KEY``,
        ``times``, ``dates``, ``sheet``, ``kind``, ``time_column``, ``mark_column``.
    value
        The answer; empty takes an answer back.

    Raises
    ------
    BadSetting
        Where the answer makes no sense; the sentence says what to write.
    """
    with shelf.writing:
        _answer(shelf, event_id, name, value)


def _answer(shelf: Shelf, event_id: str, name: str, value: str) -> None:
    whose, _, rest = name.partition(SEPARATOR)
    if whose == "event":
        with shelf.changing(event_id) as folder:
            _about_event(folder, rest, value)
        return
    what, _, which = rest.partition(SEPARATOR)
    sitting = plan(shelf.folder(event_id)).sittings[int(whose)]
    if what == "kind" or (what == "times" and sitting.times is not None):
        with shelf.changing(event_id) as folder:
            _about_source(folder, sitting, what, value)
    if what == "kind":
        return
    found = understood(shelf.folder(event_id), shelf.remembered)[int(whose)].found
    if found is not None:
        shelf.registry.remember(changed(found.mapping, what, which, value))


def changed(mapping: Mapping, what: str, which: str, value: str) -> Mapping:
    """Return a mapping with one more answer in it."""
    if what == "column":
        return replace(mapping, columns=_moved(mapping.columns, which, cast(Meaning, value)))
    if what in ("time_column", "mark_column"):
        return replace(
            mapping, columns=_moved(mapping.columns, value, "time" if what == "time_column" else "mark")
        )
    if what == "label":
        return replace(mapping, labels=_labels(mapping.labels, which, value))
    if what not in ("times", "dates", "sheet"):
        raise KeyError(what)
    given: dict[str, Any] = {what: value or None}
    return replace(mapping, **given)


def _moved(columns: Table[str, Meaning], name: str, meaning: Meaning) -> dict[str, Meaning]:
    """Return the columns with a meaning given to one, and taken from another where only one can have it."""
    alone = meaning not in SEVERAL
    return {
        column: meaning if column == name else "ignored" if alone and held == meaning else held
        for column, held in columns.items()
    }


def _labels(labels: Table[str, Answer], key: str, value: str) -> dict[str, Answer]:
    kept = {label: answer for label, answer in labels.items() if label != key}
    if not value:
        return kept
    kind, _, detail = value.partition(SEPARATOR)
    return kept | {key: Answer(kind, detail or None)}


def meanings() -> list[tuple[str, list[tuple[str, str]]]]:
    """Return all that a label can mean, in groups: ``kind`` or ``kind|detail``, and its key in the words."""
    details: dict[str, list[str]] = {
        "rhythm": list(words.RHYTHMS),
        "drug": list(words.DRUGS),
        "airway": list(words.DETAILS["airway"]),
        "access": list(words.DETAILS["access"]),
        "reason": list(words.DETAILS["reason"]),
        "advice": list(words.DETAILS["advice"]),
    }
    groups: dict[str, list[tuple[str, str]]] = {}
    for kind in words.KINDS.values():
        if kind.name == UNMAPPED:
            continue
        group = groups.setdefault(kind.family, [])
        group.append((kind.name, ""))
        if kind.name in ("rhythm", "drug", "airway", "access", "efforts_ended", "analysis"):
            group += [(kind.name, detail) for detail in details[kind.detail]]
    return list(groups.items())


def _about_event(folder: Path, key: str, value: str) -> None:
    if key not in ABOUT:
        raise KeyError(key)
    settings = read_settings(folder)
    settings.pop(key, None)
    if value.strip():
        settings[key] = _weight(value) if key == "weight_kg" else value.strip()
    _keep(folder, settings)


def _weight(text: str) -> float:
    try:
        weight_kg = float(text.strip().lower().removesuffix("kg").strip().replace(",", "."))
    except ValueError:
        weight_kg = -1.0
    low, high = WEIGHTS_KG
    if not low <= weight_kg <= high:
        raise BadSetting(words.say("pages.bad_weight", read=text, low=f"{low:g}", high=f"{high:g}"))
    return weight_kg


def _about_source(folder: Path, sitting: Sitting, key: str, value: str) -> None:
    settings = read_settings(folder)
    sources: list[dict[str, Any]] = settings.setdefault(
        "sources", [{"file": each.file} for each in plan(folder).sittings]
    )
    for source in sources:
        if source.get("file") == sitting.file:
            source[key] = value
    _keep(folder, settings)


def _keep(folder: Path, settings: dict[str, Any]) -> None:
    """Write event.json and read it back; what it refuses is an error, so that nothing is kept."""
    write_settings(folder, settings)
    plan(folder)
