"""What a zipped workbook would unpack to, before it is unpacked."""

from __future__ import annotations

import zipfile
import zlib
from io import BytesIO

from halfpoint.collect.table.extent import check_extent
from halfpoint.errors import NotATable

MOST_BYTES = 512 * 1024 * 1024
MOST_RATIO = 200
_SMALL = 16 * 1024 * 1024

_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    OSError,
    RuntimeError,
    ValueError,
    NotImplementedError,
    OverflowError,
)


def check_archive(data: bytes, *, where: str) -> None:
    """Refuse an archive that is cut short, altered, or unpacks to far more than it holds.

    Declared sizes are judged first; then every member is unpacked piece by piece, which
    stops at the declared size and proves it by the checksum.

    Raises:
        NotATable: any of these.
    """
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            unpacked = sum(member.file_size for member in archive.infolist())
            _check_sizes(unpacked, len(data), where)
            broken = archive.testzip()
            if broken is None:
                check_extent(archive, where=where)
    except _DAMAGE:
        broken = "its directory"
    if broken is not None:
        raise NotATable(
            f"a workbook cut short or damaged at {broken[:60]}",
            where=where,
            expected="a whole XLSX or ODS workbook without a password",
            remedy="fetch or save the file again",
        )


def _check_sizes(unpacked: int, packed: int, where: str) -> None:
    if unpacked > MOST_BYTES or (unpacked > _SMALL and unpacked > MOST_RATIO * packed):
        raise NotATable(
            f"a workbook of {packed:,} bytes that unpacks to {unpacked:,}",
            where=where,
            expected=f"at most {MOST_BYTES:,} bytes unpacked and {MOST_RATIO} times its size",
            remedy="save the sheet with the marks as CSV and bring that in",
        )
