"""What is kept of a sheet while it is typed and after: rows as typed, whom it is about, a picture of it.

A sheet has a folder of its own while it is typed. Finished, it is an event of the registry and the folder
goes.
"""

import json
import re
import shutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from debrief.assess import Asked
from debrief.dashboard.event_folder import read_settings, write_settings, write_whole
from debrief.dashboard.shelf import Shelf
from debrief.errors import BadSetting, NotKept
from debrief.importers.finding import Found
from debrief.importers.folder import PICTURES, TYPING, plan
from debrief.importers.typed import COLUMNS, TYPED, Row, filled, to_csv
from debrief.model.event import WEIGHTS_KG
from debrief.registry.adding import Refused
from debrief.registry.arriving import Added
from debrief.words import POPULATIONS, RHYTHMS, say

SHEET_ID = re.compile(r"t[0-9a-f]{10}")
ANY_SHEET = re.compile(r"[ts][0-9a-f]{10}")
"""Of a sheet that becomes an event, or of a second entry of one (`dashboard.second`)."""
MOST_ROWS, MOST_LETTERS = 1000, 1000
OLDEST_YEARS = 130.0
MOST_LISTED = 12
"""How many typed events are listed to go on with; the list of events has all."""
SOURCE = "typed sheet"
BEGUN_FROM = ".begun_from.csv"
"""What an event held of its sheet when somebody began to type it again."""

ABOUT = ("unit", "date", "population", "age_years", "weight_kg", "first_rhythm", "witnessed", "monitored")
"""What is asked of the event; each is a key of event.json."""
NUMBERS = {"age_years": (0.0, OLDEST_YEARS), "weight_kg": WEIGHTS_KG}
CHOICES = {
    "population": POPULATIONS,
    "first_rhythm": tuple(RHYTHMS),
    "witnessed": ("yes", "no"),
    "monitored": ("yes", "no"),
}


class Outdated(BadSetting):
    """Somebody else has kept the sheet since it was read."""


@dataclass(frozen=True)
class Draft:
    """A sheet as typed: rows of seven texts, what is said of the event, whether times count from zero."""

    rows: tuple[Row, ...] = ()
    about: Mapping[str, str] = field(default_factory=dict)
    elapsed: bool = False

    def settings(self) -> tuple[dict[str, Any], dict[str, str]]:
        """Return what is said of the event by the keys of event.json, and what of it cannot be, in words."""
        known: dict[str, Any] = {}
        refused: dict[str, str] = {}
        for key, text in self.about.items():
            if key in NUMBERS:
                value = _number(text)
                low, high = NUMBERS[key]
                if value is None or not low <= value <= high:
                    refused[key] = say(f"typing.bad_{key}", read=text, low=f"{low:g}", high=f"{high:g}")
                else:
                    known[key] = value
            elif key in CHOICES:
                known[key] = text == "yes" if CHOICES[key] == ("yes", "no") else text
            elif key == "date" and not _is_date(text):
                refused[key] = say("typing.bad_date", read=text)
            else:
                known[key] = text
        return known, refused


def checked(sent: object) -> Draft:
    """Return a draft as the browser sends it.

    Raises
    ------
    BadSetting
        Where it is none, or larger than a sheet can be.
    """
    match sent:
        case {"rows": list(rows), "about": dict(about), "elapsed": bool(elapsed)}:
            pass
        case _:
            raise BadSetting(say("typing.no_draft"))
    if len(rows) > MOST_ROWS:
        raise BadSetting(say("typing.too_many_rows", most=MOST_ROWS))
    for row in rows:
        if not (
            isinstance(row, list) and len(row) == len(COLUMNS) and all(isinstance(one, str) for one in row)
        ):
            raise BadSetting(say("typing.no_draft"))
        if long := next((one for one in row if len(one) > MOST_LETTERS), None):
            raise BadSetting(say("typing.too_long", most=MOST_LETTERS, read=long[:40]))
    said = {key: str(about[key]).strip()[:200] for key in ABOUT if str(about.get(key) or "").strip()}
    for key, choices in CHOICES.items():
        if said.get(key, choices[0]) not in choices:
            raise BadSetting(say("typing.no_draft"))
    return Draft(tuple(tuple(row) for row in rows), said, elapsed)


def is_event(shelf: Shelf, sheet: str) -> bool:
    """Tell whether a sheet has become an event."""
    return sheet in shelf.opened or shelf.is_kept(sheet)


def folder_of(shelf: Shelf, sheet: str) -> Path:
    """Return where a sheet is read: where it is typed, else with the event that it has become."""
    folder = shelf.typing_folder / sheet
    return shelf.folder(sheet) if not folder.is_dir() and is_event(shelf, sheet) else folder


def to_write(shelf: Shelf, sheet: str) -> Path:
    """Return a folder to type in; where the sheet has become an event, with what is kept there."""
    folder = shelf.typing_folder / sheet
    if folder.is_dir():
        return folder
    before = folder_of(shelf, sheet)
    folder.mkdir(parents=True)
    for name in (TYPING, TYPED, *PICTURES):
        if (before / name).is_file():
            shutil.copy(before / name, folder / (BEGUN_FROM if name == TYPED else name))
    return folder


def read_draft(folder: Path) -> tuple[Draft, int]:
    """Return a sheet as it was kept last and how often it was kept; an empty one where it never was.

    Raises
    ------
    BadSetting
        Where what is kept cannot be read.
    """
    path = folder / TYPING
    if not path.is_file():
        return Draft(), 0
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        return checked(kept), int(kept["version"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError, BadSetting) as error:
        raise BadSetting(say("typing.broken", file=path)) from error


def keep(shelf: Shelf, sheet: str, draft: Draft, version: int) -> int:
    """Keep a sheet, and return how often it has been kept.

    Parameters
    ----------
    version
        How often it had been kept when it was read.

    Raises
    ------
    Outdated
        Where somebody else has kept it since, unless just the same.
    NotKept
        Where its folder cannot be written.
    """
    with shelf.writing:
        standing, times = read_draft(folder_of(shelf, sheet))
        if times != version:
            if standing == draft:
                return times
            raise Outdated(say("typing.outdated"))
        rows = list(map(list, draft.rows[: 1 + max(filled(draft.rows), default=-1)]))
        whole = {"format": 1, "version": version + 1, "elapsed": draft.elapsed, "about": dict(draft.about)}
        content = json.dumps(whole | {"rows": rows}, ensure_ascii=False, indent=1)
        try:
            write_whole(to_write(shelf, sheet) / TYPING, content.encode("utf-8", "replace"))
        except OSError as error:
            folder = shelf.typing_folder / sheet
            raise NotKept(say("typing.not_kept", folder=folder, reason=error.strerror or error)) from error
        return version + 1


def write_event(folder: Path, event_id: str, draft: Draft) -> None:
    """Write a sheet as a source into the folder of its event, and what is said of the event.

    What event.json says beside that, of the event and of other sources, stays.

    Raises
    ------
    BadSetting
        Where event.json is none, or says what cannot be.
    OSError
        Where the folder cannot be written.
    """
    settings = read_settings(folder)
    known, _ = draft.settings()
    settings = {key: value for key, value in settings.items() if key not in ABOUT} | known
    source = {"file": TYPED, "name": SOURCE, "kind": "person"}
    listed = settings.get("sources") or [source]
    if not any(one.get("file") == TYPED for one in listed):
        listed = [*listed, source]
    times = {"times": "elapsed" if draft.elapsed else "clock"}
    settings["sources"] = [one | times if one.get("file") == TYPED else one for one in listed]
    write_settings(folder, {"format": 1, "event_id": event_id} | settings)
    write_whole(folder / TYPED, to_csv(draft.rows, draft.elapsed)[0].encode("utf-8", "replace"))
    plan(folder)


def finish(shelf: Shelf, sheet: str, draft: Draft, asked: Asked) -> str:
    """Make a sheet an event, or write it anew into the one that it has become; return the event's name.

    Raises
    ------
    Outdated
        Where somebody else has written it into its event since.
    BadSetting
        Where it cannot be an event; the sentence says why.
    NotKept
        Where it cannot be written.
    """
    with shelf.writing:
        folder = folder_of(shelf, sheet)
        name = sheet
        try:
            if is_event(shelf, sheet):
                _write_again(shelf, sheet, draft, folder)
            else:
                write_event(folder, sheet, draft)
                name = _first(shelf.keep([Found((folder,))], asked))
        except OSError as error:
            raise NotKept(say("typing.not_kept", folder=folder, reason=error.strerror or error)) from error
        remove(shelf, sheet)
    return name


def _write_again(shelf: Shelf, sheet: str, draft: Draft, typed: Path) -> None:
    """Write a sheet and its picture into the event that it has become."""
    with shelf.changing(sheet) as folder:
        begun = typed / BEGUN_FROM
        if begun.is_file() and begun.read_bytes() != (folder / TYPED).read_bytes():
            raise Outdated(say("typing.outdated"))
        if typed != folder and begun.is_file():
            for name in (TYPING, *PICTURES):
                (folder / name).unlink(missing_ok=True)
                if (typed / name).is_file():
                    shutil.copy(typed / name, folder / name)
        write_event(folder, sheet, draft)


def _first(became: Iterator[Added | Refused]) -> str:
    """Return the name of the one event that was to be added."""
    one = next(became)
    if isinstance(one, Refused):
        raise BadSetting(one.why)
    if one.did == "removed":
        raise BadSetting(say("arriving.did_removed", event=one.event))
    return one.event


def remove(shelf: Shelf, sheet: str) -> None:
    """Throw away a sheet that has not become an event."""
    shutil.rmtree(shelf.typing_folder / sheet, ignore_errors=True)


def sheets(shelf: Shelf) -> Sequence[tuple[str, str, bool]]:
    """Return the sheets to go on with: name, what to call it, whether it is an event; the newest first."""
    drafts = [path.parent for path in shelf.typing_folder.glob(f"*/{TYPING}")]
    drafts = [folder for folder in drafts if SHEET_ID.fullmatch(folder.name)]
    newest = sorted(drafts, key=lambda folder: folder.stat().st_mtime, reverse=True)
    found = [(folder.name, _called(folder), is_event(shelf, folder.name)) for folder in newest]
    begun = {folder.name for folder in drafts}
    typed = [name for name in shelf.names() if SHEET_ID.fullmatch(name) and name not in begun]
    return [*found, *((name, shelf.title(name), True) for name in typed[:MOST_LISTED])]


def _called(folder: Path) -> str:
    try:
        draft, _ = read_draft(folder)
    except BadSetting as error:
        return str(error)
    known = [draft.about[key] for key in ("unit", "date") if key in draft.about]
    rows = filled(draft.rows)
    first = next((draft.rows[row][0] for row in rows if draft.rows[row][0]), "")
    name = ", ".join([*known, first] if first else known)
    return say("typing.called", name=name or folder.name, rows=len(rows))


def _is_date(text: str) -> bool:
    try:
        return len(text) == 10 and bool(date.fromisoformat(text))
    except ValueError:
        return False


def _number(text: str) -> float | None:
    """Return a number with or without its unit: ``82``, ``3,4 kg``; null where a text is none."""
    match = re.fullmatch(r"(\d{1,4}(?:[.,]\d{1,4})?)\s*(?:kg|y|yr|years?)?", text.strip(), re.IGNORECASE)
    return float(match[1].replace(",", ".")) if match else None
