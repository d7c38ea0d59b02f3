"""A second entry of an event, typed by somebody else from the same paper without seeing the first.

It is kept beside the event under a name, is no source of it, and counts in no figure.
"""

import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.typed.drafts import Draft, checked, remove
from debrief.dashboard.typed.understanding import read_sheet
from debrief.errors import BadSetting
from debrief.importers import read_event
from debrief.importers.corrections import ADDED, ADDED_ID, CORRECTIONS
from debrief.importers.typed import TYPED
from debrief.model.agreement import Agreement, Entered, compare
from debrief.model.columns import MISSING
from debrief.model.event import Event, Source
from debrief.model.times import DAY_US, to_s
from debrief.words import say

KIND = "second_entry"
"""Under what the registry keeps them, by the names of their events."""
LETTER = "s"
"""How the name of such a sheet begins."""


@dataclass(frozen=True)
class Both:
    """How far two entries agree: as both were typed, and as the event stands after its corrections."""

    typed: Agreement
    now: Agreement
    file: str


def sheet_of(event_id: str) -> str:
    """Return the name of the sheet on which an event is typed a second time."""
    return LETTER + sha256(event_id.encode("utf-8", "surrogatepass")).hexdigest()[:10]


def event_of(shelf: Shelf, sheet: str) -> str:
    """Return the event of such a sheet.

    Raises
    ------
    BadSetting
        Where there is none in the registry.
    """
    names = shelf.names() if sheet.startswith(LETTER) else ()
    found = next((name for name in names if sheet_of(name) == sheet), None)
    if found is None or not shelf.is_kept(found):
        raise BadSetting(say("typing.no_sheet"))
    return found


def keep_second(shelf: Shelf, sheet: str, draft: Draft) -> str:
    """Keep a second entry, in place of one that was there, and return the name of its event.

    Raises
    ------
    BadSetting
        As `event_of`.
    NotKept
        Where the registry cannot be written.
    """
    event_id = event_of(shelf, sheet)
    content = {"rows": list(map(list, draft.rows)), "about": dict(draft.about), "elapsed": draft.elapsed}
    shelf.registry.name(KIND, event_id, content)
    remove(shelf, sheet)
    return event_id


def kept_second(shelf: Shelf, event_id: str) -> Draft | None:
    """Return the second entry of an event; null where there is none."""
    if not shelf.is_kept(event_id):
        return None
    found: Mapping[str, Any] = shelf.registry.named(KIND)
    return checked(found[event_id]) if event_id in found else None


def agreement(reports: Reports, event_id: str) -> Both | None:
    """Return how far the two entries of an event agree; null where there is no second one.

    Raises
    ------
    DebriefError
        Where nothing in the event was entered by a person, one of the entries cannot be read, or one counts
        from zero and the other goes by the clock.
    """
    shelf = reports.shelf
    draft = kept_second(shelf, event_id)
    if draft is None:
        return None
    again, _ = read_sheet(draft, shelf.remembered)
    now = reports.get(event_id).event
    source = first_source(now)
    if again is None or source is None:
        raise BadSetting(say("agreement.nothing_to_compare"))
    if (again.sources[0].scale == "elapsed") != (source.scale == "elapsed"):
        raise BadSetting(say("agreement.other_scale"))
    with tempfile.TemporaryDirectory(prefix="debrief-") as name:
        folder = shutil.copytree(shelf.folder(event_id), Path(name) / "event")
        for file in (ADDED, CORRECTIONS):
            (folder / file).unlink(missing_ok=True)
        first = read_event([folder], shelf.settings())
    second = entered(again, again.sources[0].source_id)
    same = next((one for one in first.sources if one.file == source.file), source)
    return Both(
        compare(entered(first, same.source_id), second),
        compare(entered(now, source.source_id, ADDED_ID), second),
        source.file,
    )


def first_source(event: Event) -> Source | None:
    """Return what a person entered of an event, the typed sheet before others; null where nobody did."""
    people = [one for one in event.sources if one.kind == "person" and one.source_id != ADDED_ID]
    return next((one for one in people if one.file == TYPED), next(iter(people), None))


def entered(event: Event, *sources: str) -> list[Entered]:
    """Return the marks of sources as somebody entered them: with a time, and not taken out."""
    rows = [
        row
        for row in event.marks.to_pylist()
        if row["source_id"] in sources
        if row["source_time"] not in (None, MISSING)
        if f"{row['source_id']}:{row['place']}" not in event.removed
    ]
    midnight = min((row["source_time"] for row in rows), default=0) // DAY_US * DAY_US
    return [
        Entered(
            row["kind"],
            to_s(row["source_time"] - midnight),
            row["detail"],
            row["amount"],
            row["unit"],
            f"{row['time_text']} {row['label']}".strip(),
        )
        for row in rows
    ]
