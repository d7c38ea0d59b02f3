"""The marks as they were written: a plain table, single compressions folded into runs."""

import re
from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

import pyarrow as pa
from dash import html
from dash.development.base_component import Component

from debrief.dashboard.markup import Part
from debrief.importers.places import where
from debrief.model.times import clock, to_s
from debrief.model.values import number
from debrief.picture.captions import kind_words, plain
from debrief.words import say

_RUN_NAME = re.compile(r"(?P<where>.*?)(?P<first>\d+)-(?P<last>\d+)")
_NAME = re.compile(r"(?P<where>.*?)(?P<line>\d+)")

_READ = (
    "source_id",
    "place",
    "time_text",
    "source_time",
    "kind",
    "detail",
    "amount",
    "unit",
    "route",
    "length",
    "label",
    "note",
)

CORRECT = "correct"
"""Where the script of the pages puts which mark is to be corrected."""
TAKEN = "taken"
"""Where the script of the pages puts which row is to be taken out."""

COLUMNS = ("written", "aligned", "time", "label", "kind", "amount", "note", "source", "place")


@dataclass(frozen=True)
class Row:
    """One mark as its source has it, or a run of single compressions. [s]

    ``marks`` names each of them, ``time`` is null where the mark has no place on the event's clock,
    ``aligned`` what the reference clock read then, empty where it has no hours; ``read_as`` how a
    reviewer corrected it and what its source says, empty where nobody did.
    """

    name: str
    source: str
    place: str
    written: str
    time: float | None
    label: str
    kind: str
    detail: str
    amount: str
    note: str
    last: str = ""
    marks: tuple[str, ...] = ()
    out: bool = False
    aligned: str = ""
    read_as: str = ""

    @property
    def count(self) -> int:
        """How many marks it is."""
        return len(self.marks)

    @property
    def meaning(self) -> str:
        """What it was taken for, in words, with its amount."""
        kind = kind_words(self.kind)
        return " ".join(
            part for part in (f"{kind}: {self.detail}" if self.detail else kind, self.amount) if part
        )

    @property
    def where(self) -> str:
        """The place in words: ``line 14``, of a run of marks ``lines 14 to 20``."""
        return where(f"{self.place}-{self.last.rpartition('!')[2]}" if self.last else self.place)


def rows(marks: pa.Table, behind_us: Mapping[str, int], removed: frozenset[str]) -> list[Row]:
    """Return marks as they are shown, in time order.

    Parameters
    ----------
    marks
        The marks table.
    behind_us
        Time zero on the clock of each source that stands on the event's. [us]
    removed
        Names of the marks that were taken out.
    """
    read = {name: marks[name].to_pylist() for name in _READ}  # take() would load pandas
    sources, kinds = read["source_id"], read["kind"]
    names = [f"{source}:{place}" for source, place in zip(sources, read["place"], strict=True)]
    times = [
        None if us is None or source not in behind_us else to_s(us - behind_us[source])
        for source, us in zip(sources, read["source_time"], strict=True)
    ]
    order = sorted(range(len(names)), key=lambda at: (times[at] is None, times[at] or 0.0))
    runs: list[list[int]] = []
    for (folds, *_), alike in groupby(
        order, lambda at: (kinds[at] == "compression", sources[at], names[at] in removed)
    ):
        run = list(alike)
        runs += [run] if folds else [[at] for at in run]
    made = []
    for run in runs:
        first, last = ({name: column[at] for name, column in read.items()} for at in (run[0], run[-1]))
        row = _row(first, tuple(names[at] for at in run), times[run[0]], names[run[0]] in removed)
        made.append(_folded(row, last) if len(run) > 1 else row)
    return made


def _row(mark: dict[str, Any], names: tuple[str, ...], time: float | None, out: bool) -> Row:
    amount = "" if mark["amount"] is None else f"{number(mark['amount'])} {mark['unit'] or ''}".strip()
    length = "" if mark["length"] is None else say("pages.lasting", length=clock(to_s(mark["length"])))
    return Row(
        name=names[0],
        source=mark["source_id"],
        place=mark["place"],
        written=mark["time_text"],
        time=time,
        label=mark["label"],
        kind=mark["kind"],
        detail=plain(mark["detail"]) if mark["detail"] else "",
        amount=" ".join(part for part in (amount, mark["route"] or "", length) if part),
        note=mark["note"] or "",
        marks=names,
        out=out,
    )


def _folded(first: Row, last: Mapping[str, Any]) -> Row:
    """Return the first of a run of single compressions as the whole run, up to its last."""
    return replace(
        first,
        written=say("pages.from_to", start=first.written, end=last["time_text"]),
        label=say("pages.times_over", label=first.label, count=first.count),
        detail="",
        amount="",
        note="",
        last=last["place"],
    )


def take_out(row: Row) -> Component:
    """Return the button that takes a mark out, or puts it back."""
    words = "put_back" if row.out else "take_out"
    return html.Button(
        say(f"pages.{words}"),
        type="button",
        className="plain small",
        **{
            "data-set": TAKEN,
            "data-value": row.name,
            "aria-label": say(f"pages.{words}_mark", label=row.label or kind_words(row.kind), at=row.written),
        },
    )


def acts(row: Row) -> list[Part]:
    """Return what can be done to a row: corrected, where it is one mark, and taken out or put back."""
    correct = html.Button(
        say("corrections.correct"),
        type="button",
        className="plain small",
        **{
            "data-set": CORRECT,
            "data-value": row.name,
            "aria-label": say(
                "corrections.correct_mark", label=row.label or kind_words(row.kind), at=row.written
            ),
        },
    )
    return [correct if row.count == 1 else None, take_out(row)]


def table(
    shown: Sequence[Row], files: Mapping[str, str], act: Callable[[Row], Part | list[Part]] | None = None
) -> Component:
    """Return rows as a table; ``files`` names each source's file, ``act`` makes what can be done to a row."""
    columns = [
        name
        for name in COLUMNS
        if name not in ("amount", "note", "aligned") or any(getattr(row, name) for row in shown)
    ]
    heads = [
        html.Th(say(f"pages.column_{name}"), scope="col", className="aligned" if name == "aligned" else "")
        for name in columns
    ]
    if act:
        heads.append(html.Th(html.Span(say("pages.column_act"), className="hidden"), scope="col"))
    return html.Div(
        html.Table(
            [html.Thead(html.Tr(heads)), html.Tbody([_tr(row, columns, files, act) for row in shown])]
        ),
        className="scroll",
        tabIndex="0",
        role="group",
        **{"aria-label": say("pages.marks_title")},
    )


def listed(shown: Sequence[Row], files: Mapping[str, str]) -> Component:
    """Return rows as a short list: as written, then what they were taken for and where they stand."""
    if not shown:
        return html.P(say("pages.evidence_no_marks"), className="note")
    return html.Ul([html.Li(as_written(row, files)) for row in shown], className="as-written")


def as_written(row: Row, files: Mapping[str, str]) -> list[Part]:
    """Return a mark as its source has it, and what it was taken for."""
    taken = say(
        "pages.evidence_taken",
        time=clock(row.time) if row.time is not None else say("pages.evidence_no_time"),
        kind=row.meaning,
        source=files.get(row.source, row.source),
        place=row.where,
    )
    on_reference = say("pages.evidence_aligned", at=row.aligned) if row.aligned else ""
    aligned = html.Span(f"{on_reference} · ", className="aligned") if on_reference else None
    return [html.Code(f"{row.written}  {row.label}"), html.Span([aligned, taken], className="note")]


def stands_behind(row: Row, names: Set[str]) -> bool:
    """Return whether a mark, or the first of a folded run, is among names; a name may be that of a run."""
    return row.name in names or any(_in_run(row, name) for name in names)


def _in_run(row: Row, name: str) -> bool:
    """Return whether a run of marks, ``source:12-480``, holds a mark or the first of a folded run."""
    run, mark = _RUN_NAME.fullmatch(name), _NAME.fullmatch(row.name)
    if not run or not mark or run["where"] != mark["where"]:
        return False
    return int(run["first"]) <= int(mark["line"]) <= int(run["last"])


def _tr(
    row: Row, columns: Sequence[str], files: Mapping[str, str], act: Callable[[Row], Part | list[Part]] | None
) -> Component:
    cells: dict[str, Part | list[Part]] = {
        "written": row.written,
        "aligned": row.aligned,
        "time": "" if row.time is None else clock(row.time),
        "label": row.label,
        "kind": _meaning(row),
        "amount": row.amount,
        "note": row.note,
        "source": files.get(row.source, row.source),
        "place": row.where,
    }
    classes = {"written": "as-written", "label": "as-written", "time": "number", "aligned": "aligned"}
    made = [html.Td(cells[name], className=classes.get(name, "")) for name in columns]
    if act:
        made.append(html.Td(act(row), className="act"))
    return html.Tr(made, className="out" if row.out else "unknown" if row.kind == "unmapped" else "")


def _meaning(row: Row) -> list[Part]:
    """Return what a mark was taken for; of a corrected one, what its source says as well."""
    kind = kind_words(row.kind)
    told = html.Span(row.read_as, className="note")
    return [f"{kind}: {row.detail}" if row.detail else kind, *([" ", told] if row.read_as else [])]
