"""The notes of an event for a reviewer, who may pass one by its mark, as it stands or rewritten."""

from dataclasses import dataclass

from debrief.model.event import Event
from debrief.teaching.happened import FREE
from debrief.teaching.identifiers import Found, likely_identifiers
from debrief.words import KINDS


@dataclass(frozen=True)
class Note:
    """What somebody wrote at a mark (``source:place``), and what in it looks like an identifier."""

    mark: str
    text: str
    found: tuple[Found, ...]


def notes_of(event: Event) -> list[Note]:
    """Return what stands in notes, and in details of kinds that hold free text, in the order of the marks."""
    columns = ("source_id", "place", "kind", "detail", "note")
    rows = zip(*(event.marks[name].to_pylist() for name in columns), strict=True)
    notes = []
    for source_id, place, kind, detail, note in rows:
        free = detail if KINDS[kind].detail == FREE else None
        text = "\n".join(dict.fromkeys(part for part in (free, note) if part))
        if text:
            notes.append(Note(f"{source_id}:{place}", text, tuple(likely_identifiers(text))))
    return notes
