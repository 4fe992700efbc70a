"""A table as Parquet files by year, written part by part, so that a table of any length needs little memory.

A table is a folder: ``measures/year=2026/part-00000.parquet``, without a year where its rows belong to no day. pandas,
polars and Dask read such a folder as one table, and only the years that are asked for. All files of a table have the
same columns, and each column says its unit and meaning.
"""

from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Self

import pandas as pd

from putt_posture.archive.export.frame_columns import Column, Kind
from putt_posture.archive.export.frames import Years, empty_of
from putt_posture.disk.folders import open_new

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["ParquetTable"]

_ROWS_A_GROUP: Final = 32_768
_BYTES_A_GROUP: Final = 16 << 20
"""What is written together; as much of each year may be waiting in memory."""
_ROWS_A_FILE: Final = 1_048_576
_NO_YEAR: Final = 0


class ParquetTable:
    """One table being written; use it in a ``with`` block. Its files are complete when the block ends.

    Parameters
    ----------
    folder : Path
        Of the table; it is made.
    columns : sequence of Column
        Of every part.
    year : int or None
        The year under which an empty table is written; None where rows belong to no day.
    """

    def __init__(self, folder: Path, columns: Sequence[Column], *, year: int | None) -> None:
        self._folder, self._year = folder, _NO_YEAR if year is None else year
        self._schema = _schema_of(columns)
        self._years: dict[int, _Year] = {}
        self._open = ExitStack()

    def add(self, part: pd.DataFrame, years: Years | None) -> None:
        """Add some rows.

        Parameters
        ----------
        part : DataFrame
            With the columns of the table.
        years : array or None
            The year of each row; None where rows belong to no day.
        """
        import pyarrow as pa  # an extra

        table = pa.Table.from_pandas(part, schema=self._schema, preserve_index=False)
        table = table.replace_schema_metadata(self._schema.metadata)
        if years is None:
            self._of(_NO_YEAR).add(table)
            return
        for year in sorted(set(years.tolist())):
            self._of(year).add(table.filter(pa.array(years == year)))

    def __enter__(self) -> Self:
        self._folder.mkdir(parents=True)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        with self._open:
            if error is None:
                if not self._years:
                    self._of(self._year)
                for each in self._years.values():
                    each.finish()

    def _of(self, year: int) -> "_Year":
        if year not in self._years:
            folder = self._folder if year == _NO_YEAR else self._folder / f"year={year}"
            self._years[year] = _Year(folder, self._schema, self._open)
        return self._years[year]


class _Year:
    """The files of one year, and the rows that wait to be written into them."""

    def __init__(self, folder: Path, schema: "pa.Schema", stack: ExitStack) -> None:
        folder.mkdir(exist_ok=True)
        self._folder, self._schema = folder, schema
        self._waiting: list[pa.Table] = []
        self._count = self._bytes = self._written = self._files = 0
        self._file = stack.enter_context(ExitStack())
        self._writer: Any = None

    def add(self, rows: "pa.Table") -> None:
        self._waiting.append(rows)
        self._count += len(rows)
        self._bytes += rows.nbytes
        if self._count >= _ROWS_A_GROUP or self._bytes >= _BYTES_A_GROUP:
            self._write()

    def finish(self) -> None:
        if self._count or not self._files:
            self._write()
        self._file.close()

    def _write(self) -> None:
        import pyarrow as pa
        import pyarrow.parquet as pq

        if self._writer is None:
            stream = self._file.enter_context(open_new(self._folder / f"part-{self._files:05d}.parquet"))
            self._writer = self._file.enter_context(pq.ParquetWriter(stream, self._schema, compression="zstd"))
            self._files += 1
        rows = pa.concat_tables(self._waiting) if self._waiting else self._schema.empty_table()
        self._writer.write_table(rows.unify_dictionaries())
        self._written += self._count
        self._waiting, self._count, self._bytes = [], 0, 0
        if self._written >= _ROWS_A_FILE:
            self._file.close()
            self._writer, self._written = None, 0


def _schema_of(columns: Sequence[Column]) -> "pa.Schema":
    """Return the columns with their units and meanings, and what pandas needs to give each its kind back."""
    import pyarrow as pa

    types: dict[Kind, pa.DataType] = {
        "number": pa.float64(),
        "whole": pa.int64(),
        "age": pa.int64(),
        "day": pa.timestamp("us"),
        "text": pa.string(),
        "json": pa.string(),
        "choice": pa.dictionary(pa.int32(), pa.string()),
        "yes_no": pa.bool_(),
    }
    return pa.schema(
        [
            pa.field(each.name, types[each.kind], metadata={"unit": each.unit, "says": each.says, "kind": each.kind})
            for each in columns
        ],
        metadata=pa.Schema.from_pandas(empty_of(columns), preserve_index=False).metadata,
    )
