"""Columns in which each different value stands once, and the Arrow arrays that they become.

Arrow is given buffers and gives buffers back. To convert a Python list or to make a NumPy array, pyarrow
first imports pandas, which takes longer than measuring an event.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from debrief.model.axis import Bools, Floats, Ints

T = TypeVar("T")
C = TypeVar("C", covariant=True)
U = TypeVar("U")
Codes = NDArray[np.int32]

MISSING = int(np.iinfo(np.int64).min)
"""Stands for no value in columns of whole numbers."""


class Codebook(dict[T, int]):
    """Gives each value the number of those before it, the first time it is asked for."""

    def __missing__(self, value: T) -> int:
        """Number a value that was not asked for before."""
        code = self[value] = len(self)
        return code

    def encode(self, values: Sequence[T]) -> Codes:
        """Return the codes of values: int32, shape (n,)."""
        return np.fromiter(map(self.__getitem__, values), np.int32, len(values))


@dataclass(frozen=True)
class Repeated(Generic[C]):
    """A column: row ``i`` holds ``values[codes[i]]``. A value may stand twice or be held by no row."""

    values: Sequence[C]
    codes: Codes

    def __len__(self) -> int:
        return len(self.codes)

    def __getitem__(self, row: int) -> C:
        return self.values[int(self.codes[row])]

    def __iter__(self) -> Iterator[C]:
        return map(self.values.__getitem__, self.codes.tolist())

    def take(self, rows: Ints | Bools) -> "Repeated[C]":
        """Return some rows, by number or by a mask."""
        return Repeated(self.values, self.codes[rows])

    def map(self, change: Callable[[C], U]) -> "Repeated[U]":
        """Return the column with every value changed, each once."""
        return Repeated([change(value) for value in self.values], self.codes)

    def where(self, test: Callable[[C], bool]) -> Bools:
        """Return which rows hold a value that passes: bool, shape (n,)."""
        passed = np.fromiter(map(test, self.values), np.bool_, len(self.values))
        return passed[self.codes] if len(self.codes) else np.zeros(0, np.bool_)

    def held(self) -> list[C]:
        """Return the values that any row holds, in the order of their codes."""
        return [self.values[code] for code in np.unique(self.codes)]


def repeated(values: Sequence[T]) -> Repeated[T]:
    """Return values as a column in which each stands once."""
    book = Codebook[T]()
    codes = book.encode(values)
    return Repeated(list(book), codes)


def same(value: T, count: int) -> Repeated[T]:
    """Return a column of one value."""
    return Repeated([value], np.zeros(count, np.int32))


def joined(columns: Sequence[Repeated[T]]) -> Repeated[T]:
    """Return columns one below the other."""
    values: list[T] = []
    codes = [np.zeros(0, np.int32)]
    for column in columns:
        codes.append(column.codes + np.int32(len(values)))
        values += column.values
    return Repeated(values, np.concatenate(codes))


def grouped(columns: Iterable[tuple[NDArray[np.integer], int]], count: int) -> tuple[Ints, Ints]:
    """Return rows that are alike in all columns as groups, numbered in the order in which they first stand.

    Parameters
    ----------
    columns
        Codes of each row, from 0, and how many different ones there can be.
    count
        How many rows there are.

    Returns
    -------
    group : int64, shape (n,)
        The group of each row.
    first : int64
        The first row of each group.
    """
    key, cards = np.zeros(count, np.int64), 1
    for codes, card in columns:
        if cards * card > 1 << 62:
            _, key = np.unique(key, return_inverse=True)
            cards = count
        key = key * card + codes
        cards *= card
    _, first, group = np.unique(key, return_index=True, return_inverse=True)
    order = np.argsort(first, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return rank[group], first[order]


def _validity(valid: Bools) -> pa.Buffer | None:
    return None if valid.all() else pa.py_buffer(np.packbits(valid, bitorder="little").tobytes())


def int_array(values: Ints) -> pa.Array:
    """Return whole numbers as an Arrow array, ``MISSING`` as null."""
    valid = _validity(values != MISSING)
    return pa.Array.from_buffers(
        pa.int64(), len(values), [valid, pa.py_buffer(np.ascontiguousarray(values, np.int64))]
    )


def float_array(values: Floats) -> pa.Array:
    """Return numbers as an Arrow array, NaN as null."""
    valid = _validity(~np.isnan(values))
    return pa.Array.from_buffers(
        pa.float64(), len(values), [valid, pa.py_buffer(np.ascontiguousarray(values, np.float64))]
    )


def bool_array(values: Bools) -> pa.Array:
    """Return truths as an Arrow array."""
    return pa.Array.from_buffers(
        pa.bool_(), len(values), [None, pa.py_buffer(np.packbits(values, bitorder="little").tobytes())]
    )


def text_array(column: Repeated[str | None] | Repeated[str]) -> pa.Array:
    """Return texts as an Arrow array."""
    encoded = [b"" if value is None else value.encode() for value in column.values]
    offsets = np.zeros(len(encoded) + 1, np.int32)
    np.cumsum(np.fromiter(map(len, encoded), np.int32, len(encoded)), out=offsets[1:])
    valid = np.fromiter((value is not None for value in column.values), np.bool_, len(encoded))
    buffers = [pa.py_buffer(offsets), pa.py_buffer(b"".join(encoded)), _validity(valid)]
    values = pa.StringArray.from_buffers(len(encoded), *buffers)
    codes = pa.Array.from_buffers(
        pa.int32(), len(column), [None, pa.py_buffer(np.ascontiguousarray(column.codes, np.int32))]
    )
    return values.take(codes)


def ints_of(column: pa.Array | pa.ChunkedArray, missing: int = MISSING) -> Ints:
    """Return a column of whole numbers, ``missing`` where it is null: int64, shape (n,)."""
    values, valid = _numbers_of(column)
    whole = values.astype(np.int64, copy=False)
    return whole if valid is None else np.where(valid, whole, missing)


def floats_of(column: pa.Array | pa.ChunkedArray) -> Floats:
    """Return a column of numbers, NaN where it is null: float64, shape (n,)."""
    values, valid = _numbers_of(column)
    real = values.astype(np.float64, copy=False)
    return real if valid is None else np.where(valid, real, np.nan)


def _numbers_of(column: pa.Array | pa.ChunkedArray) -> tuple[NDArray[np.generic], Bools | None]:
    """Return the numbers of a column as they lie in its buffer, and which are not null: null for all."""
    array = column.combine_chunks() if isinstance(column, pa.ChunkedArray) else column
    bitmap, data = array.buffers()
    rows = slice(array.offset, array.offset + len(array))
    valid = None
    if bitmap is not None and array.null_count:
        valid = np.unpackbits(np.frombuffer(bitmap, np.uint8), bitorder="little")[rows].astype(np.bool_)
    if data is None:
        return np.zeros(len(array), np.int64), valid
    return np.frombuffer(data, _DTYPES[str(array.type)])[rows], valid


_DTYPES = {
    "int8": np.int8,
    "int16": np.int16,
    "int32": np.int32,
    "int64": np.int64,
    "double": np.float64,
    "float": np.float32,
}
