"""The files of one event become one event: sources read in turn, undated clocks set on one day."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pyarrow as pa

from debrief.errors import BadSetting, UnreadableFile
from debrief.importers import corrections
from debrief.importers.archives import is_archive, unpack
from debrief.importers.corrections.applying import corrected
from debrief.importers.days import day_of
from debrief.importers.finding import in_archive
from debrief.importers.folder import EVENT_JSON, Plan, Sitting, about_event, inside, plan
from debrief.importers.limits import refused
from debrief.importers.notices import gather
from debrief.importers.opening import Opened, open_file
from debrief.importers.settings import Settings
from debrief.importers.splitting import named, several_events
from debrief.model.event import Context, Event, Input, Offset, Source
from debrief.model.problems import Problem, problem
from debrief.words import fold, say


@dataclass
class _Part:
    """One source on its way."""

    sitting: Sitting
    source_id: str
    opened: Opened
    settings: Settings


def read_event(paths: Sequence[Path], settings: Settings | None = None) -> Event:
    """Read one event: a folder, with event.json or without, or files joined as the sources of one event.

    Raises
    ------
    UnreadableFile
        Where a file cannot be read, or no source of a folder can.
    BadSetting
        Where event.json or a remembered mapping says what cannot be.
    """
    settings = settings or Settings()
    if not paths:
        raise UnreadableFile(say("importing.no_files"))
    if len(paths) == 1 and paths[0].is_dir():
        return _read_folder(paths[0], settings)
    if len(paths) == 1 and is_archive(paths[0]):
        return _read_archive(paths[0], settings)
    name = re.sub(r"\s", "-", fold(paths[0].stem)) or "event"
    only = settings.only if len(paths) == 1 else None
    sittings = tuple(Sitting(path, path.name, only=only) for path in paths)
    return _join(Plan(Context(event_id=name), sittings, listed=True), settings, [])


def _read_archive(path: Path, settings: Settings) -> Event:
    """Read one event of an archive: the one that is asked for, else the first."""
    events = in_archive(path, settings)
    names = list(events)
    if settings.only is not None and settings.only not in events:
        raise BadSetting(
            say("importing.no_such_event", file=path.name, read=settings.only, names=named(names))
        )
    found = events[settings.only or names[0]]
    notices = list(unpack(path)[1])
    if settings.only is None and len(names) > 1:
        notices.append(several_events(names, None, all_taken=False))
    event = read_event(found.paths, replace(settings, only=found.only))
    return replace(event, problems=(*gather(notices, None), *event.problems))


def _read_folder(folder: Path, settings: Settings) -> Event:
    planned = plan(folder)
    problems = list(gather(planned.notices, None))
    kept = []
    for sitting in planned.sittings:
        if not inside(folder, sitting):
            problems.append(problem("source_outside", None, EVENT_JSON, file=sitting.file))
        elif not sitting.path.is_file():
            problems.append(problem("source_missing", None, EVENT_JSON, file=sitting.file))
        else:
            kept.append(sitting)
    if not kept:
        reasons = " ".join(each.message for each in problems if each.severity == "blocking")
        raise refused(folder, "no_sources", reasons=reasons)
    return corrected(_join(replace(planned, sittings=tuple(kept)), settings, problems, folder), folder)


def _join(planned: Plan, settings: Settings, problems: list[Problem], folder: Path | None = None) -> Event:
    parts, failed = _open_all(planned, settings, folder)
    problems += failed
    planned = _with_what_files_say(planned, parts, problems, folder)
    _read_all(parts, planned.context)
    if folder and (folder / corrections.ADDED).is_file():
        parts.append(_added(folder, parts, planned.context, settings))
    sources, tables = [], []
    for part in parts:
        source = _source(part)
        sources.append(source)
        tables.append(part.opened.reader.table(planned.context.event_id, source))
        problems += gather((*part.opened.contents.notices, *part.opened.reader.notices), part.source_id)
    given = settings.mapping
    if given and given.layout and all(part.opened.reader.mapping is not given for part in parts):
        problems.append(problem("mapping_unused"))
    inputs = [Input(part.sitting.file, sha256(part.sitting.path.read_bytes()).hexdigest()) for part in parts]
    return Event(planned.context, tuple(sources), pa.concat_tables(tables), tuple(inputs), tuple(problems))


def _with_what_files_say(
    planned: Plan, parts: list[_Part], problems: list[Problem], folder: Path | None
) -> Plan:
    """Return a plan with what the files themselves say of the event, where event.json says nothing of it."""
    known = {key: value for key, value in vars(planned.context).items() if value is not None}
    told: dict[str, Any] = {}
    for part in parts:
        reader = part.opened.reader
        about, notices = about_event(reader.grid.about, part.sitting.file)
        problems += gather(notices, part.source_id)
        told = about | told
        if reader.event is not None and len(planned.sittings) == 1:
            told["event_id"] = reader.event
    if folder:
        told.pop("event_id", None)
    else:
        known.pop("event_id")
    return replace(planned, context=replace(planned.context, **(told | known)))


def _open_all(planned: Plan, settings: Settings, folder: Path | None) -> tuple[list[_Part], list[Problem]]:
    """Open every source. In a folder, one that cannot be read is a problem and the others are read."""
    parts: list[_Part] = []
    problems: list[Problem] = []
    for sitting in planned.sittings:
        own = settings_of(sitting, planned.context, settings)
        try:
            opened = open_file(sitting.path, own)
            for one in opened:
                one.reader.read()
        except UnreadableFile as error:
            if folder is None or len(planned.sittings) == 1:
                raise
            code = "source_unreadable" if planned.listed else "file_left_out"
            problems.append(problem(code, None, sitting.file, file=sitting.file, reason=error))
            continue
        for one in opened:
            name = _name(sitting, one, [part.source_id for part in parts])
            parts.append(_Part(sitting, name, one, own))
    if not parts:
        raise refused(
            folder or Path("files"), "no_sources", reasons=" ".join(each.message for each in problems)
        )
    return parts, problems


def settings_of(sitting: Sitting, context: Context, settings: Settings) -> Settings:
    """Return the settings of one source: what event.json says of it, then of the event, then the caller's."""
    dated = date.fromisoformat(context.date) if context.date else settings.date
    return replace(
        settings,
        times=sitting.times or settings.times,
        kind=sitting.kind or settings.kind,
        date=sitting.date or dated,
        zone=ZoneInfo(context.time_zone) if context.time_zone else settings.zone,
        rounding=sitting.rounding or settings.rounding,
        importer=sitting.importer or settings.importer,
        only=sitting.only,
    )


def _name(sitting: Sitting, opened: Opened, taken: list[str]) -> str:
    """Return a short name of a source that no other has."""
    given = opened.source or sitting.name or Path(sitting.file).stem
    words = fold(re.sub(r"['\u2019]", "", given)).split()
    base = "-".join(words) or "source"
    name, count = base, 1
    while name in (*taken, corrections.ADDED_ID):
        count += 1
        name = f"{base}-{count}"
    return name


def _read_all(parts: list[_Part], context: Context) -> None:
    """Set the sources that write bare clock times on one day with the others.

    The day comes from a source that writes dates, else from the reference, else from the first.
    """
    clocks = [part for part in parts if part.opened.reader.times.wall is not None]
    if len(clocks) < 2:
        return
    lead = _lead(clocks, context)
    for part in clocks:
        if part is not lead and part.sitting.date is None and not _writes_dates(part):
            _follow(part, lead)


def _lead(parts: list[_Part], context: Context) -> _Part:
    named = [
        part for part in parts if context.reference in (part.source_id, part.sitting.name, part.sitting.file)
    ]
    dated = [part for part in parts if _writes_dates(part)]
    return (dated or named or parts)[0]


def _writes_dates(part: _Part) -> bool:
    times = part.opened.reader.times
    return times.scale in ("local", "utc") and times.writes_dates


def _follow(part: _Part, lead: _Part) -> None:
    """Read a source again, its first row near the lead's first."""
    times = lead.opened.reader.times
    day = None
    if times.scale != "clock" and times.wall is not None:
        day = day_of(times.wall)
    reader = part.opened.reader
    zone = part.settings.zone or (ZoneInfo(times.zone) if times.zone else None)
    reader.settings = replace(part.settings, date=day, zone=zone)
    reader.read(near=times.wall)


def _added(folder: Path, parts: list[_Part], context: Context, settings: Settings) -> _Part:
    """Return the marks that a reviewer added while that was a file of its own, on the reference clock."""
    sitting = Sitting(folder / corrections.ADDED, corrections.ADDED, kind="person", clock=Offset(0, 0, 0))
    lead = _lead([part for part in parts if part.opened.reader.times.wall is not None] or parts, context)
    elapsed = lead.opened.reader.times.scale == "elapsed"
    own = replace(
        settings_of(sitting, context, settings), times="elapsed" if elapsed else "clock", kind="person"
    )
    part = _Part(sitting, corrections.ADDED_ID, open_file(sitting.path, own)[0], own)
    part.opened.reader.read()
    if not elapsed and not _writes_dates(part):
        _follow(part, lead)
    return part


def _source(part: _Part) -> Source:
    reader = part.opened.reader
    name = part.opened.source or part.sitting.name or Path(part.sitting.file).stem
    device = fold(part.sitting.device or name) if reader.times.scale != "elapsed" else ""
    return Source(
        source_id=part.source_id,
        file=part.sitting.file,
        kind=reader.kind(),
        importer=part.opened.importer,
        scale=reader.times.scale,
        rounding=part.settings.rounding,
        zone=reader.times.zone,
        name=name,
        clock=part.sitting.clock or reader.clock(),
        checks=(*part.sitting.checks, *part.settings.clock_checks.get(device, ())),
    )
