"""Parquet and Arrow files: marks tables taken as they stand, plain tables read by their columns."""

# ruff: noqa: DTZ001 - wall times, on purpose
import datetime as dt
from zoneinfo import ZoneInfo

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from debrief.errors import BadSetting, UnreadableFile
from debrief.importers import Settings, find_events, read_event, understand
from debrief.model import marks

FORMS = ("parquet", "arrow", "arrows")


def write(path, table):
    if path.suffix == ".parquet":
        pq.write_table(table, path)
        return path
    new = pa.ipc.new_file if path.suffix == ".arrow" else pa.ipc.new_stream
    with pa.OSFile(str(path), "wb") as file, new(file, table.schema) as writer:
        writer.write_table(table)
    return path


def mark(source, at, kind, event="e", **values):
    second = dt.timedelta(seconds=at)
    written = (dt.datetime(2026, 3, 4, 14, 3) + second).time().isoformat()
    made = {
        "event_id": event,
        "source_id": source,
        "place": str(at),
        "time_text": written,
        "source_time": (14 * 3600 + 180 + at) * 1_000_000,
        "cell": 1_000_000,
        "kind": kind,
        "origin": "device",
        "label": kind,
    }
    return made | values


TABLE = marks.gate(
    [
        mark("log", 0, "compressions_start"),
        mark(
            "log", 90, "drug", detail="a drug of our own", amount=1.5, unit="spoons", note="kept as it stands"
        ),
        mark("sheet", 60, "rosc", origin="person", time=(14 * 3600 + 200) * 1_000_000),
        mark("log", 5, "shock", event="f"),
    ]
)


@pytest.mark.parametrize("form", FORMS)
def test_a_marks_table_is_taken_as_it_stands(tmp_path, form):
    path = write(tmp_path / f"marks.{form}", TABLE)

    event = read_event([path], Settings(only="e"))

    assert event.context.event_id == "e"
    assert [(source.source_id, source.kind, source.scale) for source in event.sources] == [
        ("log", "device", "clock"),
        ("sheet", "person", "clock"),
    ]
    kept = [name for name in marks.SCHEMA.names if name != "time"]
    assert event.marks.select(kept).equals(TABLE.slice(0, 3).select(kept))
    assert event.sources[1].clock.offset == (14 * 3600 + 200 - (14 * 3600 + 240)) * 1_000_000


def test_the_events_of_a_marks_table_are_found(tmp_path):
    path = write(tmp_path / "marks.parquet", TABLE)

    assert [found.only for found in find_events(path)] == ["e", "f"]
    assert [each.code for each in read_event([path]).problems] == ["several_events"]
    with pytest.raises(BadSetting, match=r"holds no event 'g'\. Write one of: 'e', 'f'"):
        read_event([path], Settings(only="g"))


@pytest.mark.parametrize(
    ("start", "text", "scale"),
    [
        (50_580_000_000, "14:03:00", "clock"),
        (90_000_000, "1:30", "elapsed"),
        (1_772_632_980_000_000, "14:03:00", "local"),
        (1_772_632_980_000_000, "2026-03-04 15:03:00+01:00", "utc"),
    ],
)
def test_what_times_count_from_is_told_by_what_is_written_beside_them(tmp_path, start, text, scale):
    path = write(
        tmp_path / "marks.parquet", marks.gate([mark("log", 0, "rosc", source_time=start, time_text=text)])
    )

    assert read_event([path]).sources[0].scale == scale


def test_a_marks_table_is_shown_without_a_question(tmp_path):
    found = understand(write(tmp_path / "marks.parquet", TABLE))

    assert (found.questions, found.columns, found.row_count) == ((), (), 2)
    assert [(each.clock, each.kind, each.amount) for each in found.preview] == [
        ("14:03:00", "compressions_start", None),
        ("14:04:30", "drug", 1.5),
    ]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(
    ("values", "kind", "written"),
    [
        ([dt.datetime(2026, 3, 4, 14, 3, 22, 500_000)] * 2, pa.timestamp("ns"), "2026-03-04 14:03:22.500"),
        ([dt.datetime(2026, 3, 4, 14, 3)] * 2, pa.timestamp("us"), "2026-03-04 14:03"),
        (
            [dt.datetime(2026, 3, 4, 14, 3, 22, tzinfo=ZoneInfo("Europe/Paris"))] * 2,
            pa.timestamp("ms", "Europe/Paris"),
            "2026-03-04 14:03:22+01:00",
        ),
        ([dt.time(14, 3, 22)] * 2, pa.time64("ns"), "14:03:22"),
        ([dt.timedelta(minutes=2, seconds=3)] * 2, pa.duration("ns"), "0:02:03"),
        ([12.25, 13.5], pa.float64(), "12.25"),
        ([12, 13], pa.int32(), "12"),
        (["14:03:22", "14:03:23"], pa.large_string(), "14:03:22"),
        (["14:03:22", "14:03:23"], pa.dictionary(pa.int8(), pa.string()), "14:03:22"),
    ],
)
def test_times_of_any_type_are_read_as_they_would_be_written(tmp_path, form, values, kind, written):
    table = pa.table({"time": pa.array(values, kind), "mark": ["CPR started", "ROSC"]})

    event = read_event([write(tmp_path / f"log.{form}", table)])

    assert event.marks["time_text"].to_pylist()[0] == written
    assert event.marks["place"].to_pylist() == ["1", "2"]
    assert event.marks["source_time"].null_count == 0


def test_nulls_numbers_and_nested_values_become_cells(tmp_path):
    table = pa.table(
        {
            "time": ["14:03:00", "14:04:00", None],
            "mark": ["compression", "shock", "CPR started"],
            "amount": pa.array([52.25, 200.0, None], pa.float32()),
            "unit": pa.array(["mm", "J", None], pa.dictionary(pa.int32(), pa.string())),
            "note": pa.array([[1, 2], None, []], pa.list_(pa.int8())),
            "amount (2)": pa.array([None, float("nan"), None]),
        }
    )

    event = read_event([write(tmp_path / "log.parquet", table)])

    assert event.marks["amount"].to_pylist() == [52.25, 200.0, None]
    assert event.marks["note"].to_pylist() == ["[1, 2]", None, "[]"]
    assert "time_missing" in [each.code for each in event.problems]


def test_a_table_that_says_it_is_ours_and_is_not_is_refused(tmp_path):
    for wrong, says in (
        (TABLE.drop_columns(["label"]), "columns event_id"),
        (TABLE.replace_schema_metadata({"debrief.marks": "9"}), "format 9"),
    ):
        with pytest.raises(UnreadableFile, match=rf"marks\.parquet: cannot be read as a table.*{says}"):
            read_event([write(tmp_path / "marks.parquet", wrong)])


@pytest.mark.parametrize("start", [b"PAR1", b"ARROW1", b"\xff\xff\xff\xff"])
def test_a_damaged_table_is_refused(tmp_path, start):
    path = tmp_path / "log.bin"
    path.write_bytes(start + bytes(range(256)))

    with pytest.raises(UnreadableFile, match=r"log\.bin: cannot be read as a table"):
        read_event([path])


def test_too_many_rows_and_an_empty_table_are_refused(tmp_path, monkeypatch):
    with pytest.raises(UnreadableFile, match="no row below"):
        read_event([write(tmp_path / "log.parquet", pa.table({"time": pa.array([], pa.string())}))])
    monkeypatch.setattr("debrief.importers.limits.MAX_ROWS", 1)
    for form in FORMS:
        with pytest.raises(UnreadableFile, match="more than 1 rows"):
            read_event([write(tmp_path / f"log.{form}", pa.table({"time": ["1", "2"]}))])


def test_what_unpacks_too_large_is_refused(tmp_path, monkeypatch):
    table = pa.table({"time": ["14:03"] * 500, "mark": ["CPR"] * 500})
    paths = [write(tmp_path / f"log.{form}", table) for form in FORMS]
    monkeypatch.setattr("debrief.importers.tables.MAX_BYTES", 100)
    for path in paths:
        with pytest.raises(UnreadableFile, match="unpacks to more than"):
            read_event([path])


@pytest.mark.parametrize("form", ["arrow", "arrows"])
def test_offsets_that_lead_out_of_a_damaged_file_are_refused(tmp_path, form):
    """Followed, they would end the program."""
    path = write(tmp_path / f"log.{form}", pa.table({"time": ["14:03", "14:05"], "mark": ["CPR", "ROSC"]}))
    good = (0).to_bytes(4, "little") + (5).to_bytes(4, "little") + (10).to_bytes(4, "little")
    raw = path.read_bytes()
    assert good in raw
    path.write_bytes(raw.replace(good, good[:8] + (2**30).to_bytes(4, "little")))

    with pytest.raises(UnreadableFile, match=r"cannot be read as a table|unpacks to more"):
        read_event([path])
