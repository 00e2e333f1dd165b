"""The forms in which sheets come home, each as the bytes of one file."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from io import BytesIO, StringIO

import polars as pl
import xlsxwriter

from halfpoint.demo.scenario import CATEGORIES, SITES, WINES

Form = Callable[[pl.DataFrame], bytes]

LABELS = {
    'taster': "Taster",
    'site': "Site",
    'wine': "Wine",
    'position': "Position",
    'appearance': "Appearance",
    'aroma': "Aroma",
    'taste': "Taste",
    'aftertaste': "Aftertaste",
    'overall': "Overall impression",
    'total': "Total",
    'aromas': "Aromas",
    'faults': "Faults",
    'finish': "Finish (s)",
    'remark': "Remark",
}
_WINE_NAMES = {wine.key: wine.name for wine in WINES}
_SITE_NAMES = {site.key: site.name for site in SITES}


def comma_utf8(sheets: pl.DataFrame) -> bytes:
    """Commas, UTF-8, a row per taster and wine: what a tidy helper sends."""
    return _delimited(_spelled_out(sheets), ',').encode('utf-8')


def semicolon_windows(sheets: pl.DataFrame) -> bytes:
    """Semicolons, decimal commas, Windows-1252: what many spreadsheets save as CSV."""
    commas = _spelled_out(sheets).with_columns(
        pl.col(pl.Float64).cast(pl.String).str.replace('.', ',', literal=True)
    )
    return _delimited(commas, ';', line_end='\r\n').encode('cp1252')


def typed_by_hand(sheets: pl.DataFrame) -> bytes:
    """UTF-8 with a byte order mark, ½ and 1/2 as people type them, and no totals."""
    marks = {
        key: pl.Series([_as_typed(mark, row) for row, mark in enumerate(sheets[key])])
        for key in CATEGORIES
    }
    typed = _spelled_out(sheets.with_columns(**marks)).drop("Total")
    return _delimited(typed, ',').encode('utf-8-sig')


def tabs_utf16(sheets: pl.DataFrame) -> bytes:
    """Tabs and UTF-16: what a spreadsheet calls Unicode text. Wines and sites by key."""
    return _delimited(sheets.rename(LABELS), '\t', line_end='\r\n').encode('utf-16')


def parquet(sheets: pl.DataFrame) -> bytes:
    """Parquet with plain column names: what a program sends."""
    stream = BytesIO()
    sheets.write_parquet(stream)
    return stream.getvalue()


def wide_workbook(sheets: pl.DataFrame) -> bytes:
    """A workbook with a row per taster and a block of columns per wine, under two header rows."""
    stream = BytesIO()
    with xlsxwriter.Workbook(stream, {'in_memory': True}) as book:
        book.set_properties({'created': datetime(2026, 3, 23)})  # noqa: DTZ001
        page = book.add_worksheet("Marks")
        for row, cells in enumerate(_wide_rows(sheets)):
            for column, cell in enumerate(cells):
                if cell is not None:
                    page.write(row, column, cell)
    return stream.getvalue()


def _spelled_out(sheets: pl.DataFrame) -> pl.DataFrame:
    """Headed as on the score sheet, wines and sites by name."""
    named = sheets.with_columns(
        pl.col('wine').replace(_WINE_NAMES), pl.col('site').replace(_SITE_NAMES)
    )
    return named.rename(LABELS)


def _delimited(frame: pl.DataFrame, separator: str, line_end: str = '\n') -> str:
    text = StringIO()
    frame.write_csv(text, separator=separator, line_terminator=line_end)
    return text.getvalue()


def _as_typed(mark: float | None, row: int) -> str | None:
    if mark is None or mark * 2 != round(mark * 2):
        return None if mark is None else str(mark)
    whole, half = divmod(mark, 1)
    if not half:
        return str(int(whole))
    return f'{int(whole)} 1/2' if row % 3 == 0 and whole else f'{int(whole) or ""}½'


def _wide_rows(sheets: pl.DataFrame) -> list[list[object]]:
    block = ('position', *CATEGORIES)
    upper: list[object] = [None, None]
    lower: list[object] = [LABELS['taster'], LABELS['site']]
    for wine in WINES:
        upper += [wine.name] + [None] * (len(block) - 1)
        lower += [LABELS[key] for key in block]
    rows = []
    for (taster, site), own in sheets.group_by(['taster', 'site'], maintain_order=True):
        by_wine = {row['wine']: row for row in own.to_dicts()}
        marks = [by_wine.get(wine.key, {}).get(key) for wine in WINES for key in block]
        rows.append([taster, _SITE_NAMES[str(site)], *marks])
    return [upper, lower, *rows]
