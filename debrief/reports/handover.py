"""The file for hand-over: what was measured and said of an event, in a zip with the same bytes each time."""

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from debrief.importers.corrections import ADDED, CORRECTIONS
from debrief.importers.folder import EVENT_JSON
from debrief.model.contract import Report
from debrief.picture.figures_csv import figures_csv
from debrief.talk.changes import MEETINGS, SECTIONS
from debrief.talk.kept import Meeting, Talk, arranged
from debrief.words import say

FORMAT = "debrief-handover-1"
CONTENTS = "contents.json"
_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The oldest time that a zip can hold: when it was made is none of its business."""


def handover(
    report: Report,
    talk: Talk,
    folder: Path,
    *,
    with_sources: bool = False,
    confidentiality: str = "",
    more: Mapping[str, bytes] | None = None,
) -> bytes:
    """Return an event as one zip: report, figures, talk, and the digests of what was read.

    Parameters
    ----------
    report, talk
        What was measured, and what is kept of the talk.
    folder
        Where the files lie that were read.
    with_sources
        Put the files that were read in as well, and what a reviewer changed. They can hold anything.
    confidentiality
        What the site wants said of who may read it.
    more
        Further files by their name.
    """
    files = {
        "report.json": _json(report),
        "figures.csv": figures_csv([report]).encode() + b"\n",
        "talk.json": _json(told(report, talk)),
        **(more or {}),
    }
    sources = _sources(folder, [entry["file"] for entry in report["inputs"]]) if with_sources else {}
    files |= {f"sources/{name}": content for name, content in sources.items()}
    contents = {
        "format": FORMAT,
        "software": report["software"],
        "event_id": report["event"]["event_id"],
        "caution": say("pages.caution"),
        "confidentiality": confidentiality,
        "sources": say("handover.with_sources" if with_sources else "handover.without_sources"),
        "read": [entry | {"included": entry["file"] in sources} for entry in report["inputs"]],
        "files": [
            {"file": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
            for name, content in sorted(files.items())
        ],
    }
    return _zipped({CONTENTS: _json(contents)} | dict(sorted(files.items())))


def told(report: Report, talk: Talk) -> dict[str, Any]:
    """Return a talk as plain data: points in the team's order, both meetings, actions."""
    return {
        "points": [
            {
                "rule": item.id if item.point else None,
                "question": item.question,
                "told": item.point.sentence if item.point else None,
                "target": item.point.target if item.point else None,
                "marks": list(item.point.marks) if item.point else [],
            }
            for item in arranged(report, talk)[0]
        ],
        **{name: _meeting(talk.meeting(name)) for name in MEETINGS},
        "actions": [asdict(action) for action in talk.actions.values() if action.what.strip()],
    }


def _meeting(meeting: Meeting) -> dict[str, Any]:
    return {
        "notes": {section: meeting.notes.get(section, "") for section in SECTIONS},
        "themes": {section: list(themes) for section, themes in meeting.themes.items()},
        "here": [
            {"role": one.role, "number": one.number, "arrived": one.arrived} for one in meeting.here.values()
        ],
        "talked": [
            {"from": start.isoformat(), "to": end.isoformat() if end else None}
            for start, end in meeting.stretches
        ],
    }


def _sources(folder: Path, read: list[str]) -> dict[str, bytes]:
    """Return the files that were read, and what a reviewer changed, as far as they lie in the folder."""
    paths = {name: folder / name for name in dict.fromkeys([*read, EVENT_JSON, CORRECTIONS, ADDED])}
    inside = folder.resolve()
    return {
        name: path.read_bytes()
        for name, path in paths.items()
        if path.is_file() and path.resolve().is_relative_to(inside)
    }


def _json(value: object) -> bytes:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=2).encode("utf-8", "replace") + b"\n"


def _zipped(files: Mapping[str, bytes]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, _EPOCH)
            entry.external_attr = 0o644 << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3  # else the zip would say on which system it was made
            archive.writestr(entry, content)
    return made.getvalue()
