"""From a path to a reader: which importer, which sheet, which columns, and whose answers."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from debrief.errors import BadSetting
from debrief.importers import delimited, headings, labels, objects, tables, workbook
from debrief.importers.cells import texts_of
from debrief.importers.grid import Contents, Grid, Importer
from debrief.importers.headings import Layout
from debrief.importers.limits import check_size, is_packed, refused
from debrief.importers.mapping import Mapping, recall
from debrief.importers.notices import Choice, Notice, Question, column_place, notice
from debrief.importers.reading import Reader
from debrief.importers.ready import ReadyMarks, ready
from debrief.importers.settings import Settings
from debrief.importers.splitting import named, several_events
from debrief.importers.written import parse
from debrief.words import fold, say

IMPORTERS: tuple[Importer, ...] = (delimited.IMPORTER, workbook.IMPORTER, objects.IMPORTER, tables.IMPORTER)
"""Every kind of file that is read. A new one is a module beside this one and a name here."""

_HEAD = 4096


@dataclass(frozen=True)
class Opened:
    """One source of a file, opened and laid out, its times not yet read.

    ``events`` are all events of the file, where their names stand beside its grids; ``source`` is the name
    that the file gives this source.
    """

    path: Path
    importer: str
    contents: Contents
    reader: Reader | ReadyMarks
    events: tuple[str, ...] = ()
    source: str | None = None
    sheet_question: Question | None = None
    mapping_used: bool = False


def choose_importer(path: Path, named: str | None = None) -> Importer:
    """Return the importer of a file: the one that is named, else the one that claims it.

    Raises
    ------
    BadSetting
        Where no importer has that name.
    UnreadableFile
        Where the file is missing or empty, none claims it, or two do; both are named.
    """
    names = ", ".join(importer.name for importer in IMPORTERS)
    if named is not None:
        chosen = [importer for importer in IMPORTERS if importer.name == named]
        if not chosen:
            raise BadSetting(say("importing.unknown_importer", read=named, names=names))
        return chosen[0]
    check_size(path)
    with path.open("rb") as file:
        head = file.read(_HEAD)
    claiming = [importer for importer in IMPORTERS if importer.claims(path, head)]
    if len(claiming) > 1:
        raise refused(path, "two_importers", first=claiming[0].name, second=claiming[1].name)
    if not claiming:
        raise refused(path, "archive_here" if is_packed(head) else "no_importer", names=names)
    return claiming[0]


def open_file(path: Path, settings: Settings) -> list[Opened]:
    """Open a file, choose its sheet, and lay out its columns with the answers that are known for that layout.

    A file holds one source, a table of our own schema as many as it names.

    Raises
    ------
    UnreadableFile, BadSetting
        As ``choose_importer``, and where the file cannot be opened.
    """
    importer = choose_importer(path, settings.importer)
    contents = _contents(path, importer)
    if contents.marks is not None:
        sources, events = ready(path, contents.marks, contents.grids[0], settings)
        return [Opened(path, importer.name, contents, one, events, one.source_id) for one in sources]
    return [_laid_out(path, importer, contents, settings)]


def _laid_out(path: Path, importer: Importer, contents: Contents, settings: Settings) -> Opened:
    """Return a file with its one source laid out."""
    notices = list(contents.notices)
    events = tuple(grid.event for grid in contents.grids if grid.event is not None)
    grids = _of_event(path, contents.grids, events, settings.only, notices) if events else contents.grids
    laid_out = [(grid, headings.lay_out(grid)) for grid in grids]
    mappings = [_mapping(layout, settings) for _, layout in laid_out]
    chosen, question = _sheet(laid_out, mappings, notices)
    grid, layout = laid_out[chosen]
    mapping = mappings[chosen]
    notices += _contradictions(mapping, layout, [each.sheet for each, _ in laid_out])
    taken = replace(settings, only=None) if events else settings
    reader = Reader(path, grid, headings.answered(layout, mapping or Mapping()), mapping or Mapping(), taken)
    contents = replace(contents, notices=tuple(notices))
    return Opened(path, importer.name, contents, reader, events, None, question, mapping is not None)


def _contents(path: Path, importer: Importer) -> Contents:
    """Return what a file holds; of the file read last, once for as long as it stays as it is."""
    about = path.stat()
    return _read_once(path, importer.name, about.st_mtime_ns, about.st_size, importer.read)


@lru_cache(maxsize=1)
def _read_once(
    path: Path, name: str, changed_ns: int, size: int, read: Callable[[Path], Contents]
) -> Contents:
    return read(path)


def _of_event(
    path: Path, grids: tuple[Grid, ...], events: tuple[str, ...], only: str | None, notices: list[Notice]
) -> tuple[Grid, ...]:
    """Return the grid of one event: the one that is asked for, else the first."""
    if only is not None and only not in events:
        raise BadSetting(say("importing.no_such_event", file=path.name, read=only, names=named(events)))
    if only is None and len(events) > 1:
        notices.append(several_events(events, None, all_taken=False))
    return tuple(grid for grid in grids if grid.event == (only or events[0]))


def _mapping(layout: Layout, settings: Settings) -> Mapping | None:
    """Return the answers for a layout: those that are given, else those remembered."""
    given = settings.mapping
    if given is not None and given.layout in ("", layout.digest):
        return given
    return recall(layout.digest, settings.remembered) if settings.remembered else None


def _contradictions(mapping: Mapping | None, layout: Layout, sheets: list[str | None]) -> Iterator[Notice]:
    """Yield what answers say of a file that is not so."""
    if mapping is None:
        return
    here = {fold(column.name) for column in layout.columns}
    for column in mapping.columns:
        if fold(column) not in here:
            columns = ", ".join(repr(each.name) for each in layout.columns)
            yield notice("mapping_no_column", column_place(column), column=column, columns=columns)
    if mapping.sheet is not None and mapping.sheet not in sheets:
        known = ", ".join(repr(each) for each in sheets if each) or "none"
        yield notice("mapping_no_sheet", None, sheet=mapping.sheet, sheets=known)


def _sheet(
    laid_out: list[tuple[Grid, Layout]], mappings: list[Mapping | None], notices: list[Notice]
) -> tuple[int, Question | None]:
    """Return which sheet is read, the one with most marks unless somebody said, and tell of the others."""
    if len(laid_out) == 1:
        return 0, None
    names = [grid.sheet or "" for grid, _ in laid_out]
    counts = [_marks_seen(grid, layout) for grid, layout in laid_out]
    said = next((mapping.sheet for mapping in mappings if mapping and mapping.sheet in names), None)
    chosen = names.index(said) if said else counts.index(max(counts))
    others = [name for number, name in enumerate(names) if number != chosen]
    notices.append(notice("sheets_left_out", taken=names[chosen], others=", ".join(map(repr, others))))
    if said or sum(count > 0 for count in counts) < 2:
        return chosen, None
    notices.append(notice("sheet_ambiguous", taken=names[chosen]))
    choices = tuple(Choice(name, name) for name, count in zip(names, counts, strict=True) if count)
    return chosen, Question("sheet", say("importing.ask_sheet"), choices, names[chosen])


def _marks_seen(grid: Grid, layout: Layout) -> int:
    """Return how many rows of a sheet have a time and a mark that is understood."""
    when, what = layout.one("time"), layout.one("mark") or layout.one("detail")
    if when is None or what is None:
        return 0
    timed = texts_of(grid, when.index).where(lambda text: parse(text) is not None)
    known = texts_of(grid, what.index).where(lambda text: labels.understand(text).known)
    return int(np.count_nonzero(timed & known))
