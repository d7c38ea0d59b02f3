"""The container of an xls is looked over before a reader follows it."""

import struct
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.errors import UnreadableFile
from debrief.importers import read_event
from debrief.importers.compound import Compound, OldSheets

WORKBOOK = Path(__file__).parent / "data" / "old_workbook.xls"
RAW = WORKBOOK.read_bytes()


def table_at():
    """Return where the table of sectors stands in the sample: at the first sector that its header names."""
    return 512 + 512 * struct.unpack_from("<I", RAW, 76)[0]


def test_the_cells_of_the_sample_reach_as_far_as_they_are():
    found = OldSheets(RAW)

    assert (found.rows, found.columns) == (6, 6)
    assert list(Compound(RAW).streams) == ["Workbook"]


def test_a_chain_that_runs_in_a_circle_is_refused(tmp_path):
    """Its reader would follow it until the memory is full."""
    raw = bytearray(RAW)
    following = struct.unpack_from("<128I", raw, table_at())
    last = next(at for at, number in enumerate(following) if number == 0xFFFFFFFE)
    struct.pack_into("<I", raw, table_at() + 4 * last, last)
    path = tmp_path / "circle.xls"
    path.write_bytes(raw)

    with pytest.raises(UnreadableFile, match=r"circle\.xls: cannot be opened as a workbook \(.*circle"):
        read_event([path])


@pytest.mark.parametrize(
    ("kind", "put", "says"),
    [
        (0x0200, struct.pack("<IIHH", 0, 65536, 0, 60000), "row 65536, column 60000"),
        (0x00FC, struct.pack("<II", 0, 2**31), "more strings than it can hold"),
    ],
)
def test_a_record_that_claims_too_much_is_refused(tmp_path, kind, put, says):
    stream = Compound(RAW).streams["Workbook"]
    at = 0
    while struct.unpack_from("<H", stream, at)[0] != kind:
        at += 4 + struct.unpack_from("<H", stream, at + 2)[0]
    record = stream[at : at + 12]
    raw = bytearray(RAW)
    start = raw.index(record) + 4
    raw[start : start + len(put)] = put
    path = tmp_path / "claims.xls"
    path.write_bytes(raw)

    with pytest.raises(UnreadableFile, match=says):
        read_event([path])


@settings(deadline=None)
@given(st.integers(0, len(RAW) - 1), st.binary(max_size=8))
def test_looking_over_a_damaged_file_ends_with_a_reason_or_an_extent(at, put):
    """Whatever bytes are changed."""
    raw = RAW[:at] + put + RAW[at + len(put) :]
    try:
        found = OldSheets(raw)
    except (ValueError, struct.error):
        return
    assert found.rows >= 0
