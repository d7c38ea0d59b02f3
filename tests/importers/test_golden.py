"""Each sample file gives exactly the marks and problems written beside it."""

from pathlib import Path

import pytest

from debrief.importers import read_event

DATA = Path(__file__).parent / "data"
CASES = sorted(path for path in DATA.iterdir() if path.suffix != ".expected")
SHOWN = (
    "place",
    "time_text",
    "source_time",
    "cell",
    "kind",
    "detail",
    "amount",
    "unit",
    "route",
    "length",
    "role",
)


def _text(path: Path) -> str:
    event = read_event([path])
    (source,) = event.sources
    lines = [
        f"{source.source_id} {source.kind} {source.scale} {source.zone}",
        " | ".join((*SHOWN, "label", "note")),
    ]
    for mark in event.marks.to_pylist():
        values = [mark[name] for name in SHOWN]
        lines.append(" | ".join("" if value is None else str(value) for value in values))
        lines[-1] += f" | {mark['label']} | {(mark['note'] or '').encode('unicode_escape').decode()}"
    lines += [f"{each.severity} {each.code} at {each.place}: {each.message}" for each in event.problems]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.name)
def test_file_reads_as_written_beside_it(path, golden):
    """The expected file is reviewed by eye when it changes."""
    golden(path.with_name(f"{path.name}.expected"), _text(path))
