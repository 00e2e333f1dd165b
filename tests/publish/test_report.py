"""The report as a PDF."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import polars as pl
import pypdfium2
import pytest
from tests.publish.sample import NAMES, disconnected, renamed, sample
from tests.publish.whole import WINES, found, frame

from halfpoint.errors import OutputError
from halfpoint.estimate.findings import Findings
from halfpoint.publish.report import report_pdf, write_report
from halfpoint.publish.report.compose import INVENTED
from halfpoint.publish.withheld import withhold
from halfpoint.publish.words import finding


def pages(pdf: bytes) -> Iterator[str]:
    """The text of each page, spaces made plain and line breaks dropped."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        for page in document:
            text = page.get_textpage().get_text_bounded()
            yield ' '.join(re.sub(r'[\u200b\u00ad\ufffe]', '', text).split())


def whole(pdf: bytes) -> str:
    """The text of all pages."""
    return ' '.join(pages(pdf))


@pytest.fixture(scope='module')
def report() -> bytes:
    """The report of the sample."""
    return report_pdf(sample())


def test_the_finding_comes_first(report: bytes) -> None:
    """The first page says the finding in words above everything else."""
    first = next(pages(report))
    assert ' '.join(finding(sample()).split()) in first
    told = whole(report)
    assert told.index(finding(sample())[:30]) < told.index("Scores Wines that share")


def test_every_section_is_there_in_order(report: bytes) -> None:
    """From the finding to the small print."""
    text = whole(report)
    places = [
        text.index(title)
        for title in (
            "What we found", "Wine against wine", "How sure the places are",
            "Category by category", "What moved the marks", "Each place later",
            f"{NAMES[0]} 15.6 points", "The panel", "The rooms and their bottles",
            "How it was done", "Works referred to",
            "Held and set aside", "Taking care", "Small print",
        )
    ]  # fmt: skip
    assert sorted(places) == places


def test_every_page_says_when_a_tasting_is_invented(report: bytes) -> None:
    """The label stands on every page, and on none of a real tasting."""
    assert all(INVENTED in page for page in pages(report))
    real = report_pdf(dataclasses.replace(sample(), invented=False))
    assert not any(INVENTED in page for page in pages(real))


def test_no_taster_is_named(report: bytes) -> None:
    """What was set aside is told by count and reason only."""
    text = whole(report)
    assert "poured from the wrong bottle" in text
    assert not any(entry.taster in text for entry in sample().set_aside)


def test_cautions_defer_to_local_law(report: bytes) -> None:
    """Spit, water, food, driving, age, pregnancy, allergens, law."""
    text = whole(report)
    for word in ("spit", "water", "eat", "drive", "legal age", "pregnancy", "sulphites", "law"):
        assert word in text


def test_names_are_never_read_as_markup() -> None:
    """Names that look like markup, code or escapes print as they stand."""
    hostile = {
        NAMES[0]: '#panic("x")',
        NAMES[1]: '*$_ = @a <b> `c`',
        NAMES[2]: '\\u{41} // /* "quoted"',
        NAMES[3]: '</svg>&amp;<text>',
    }
    text = whole(report_pdf(renamed(sample(), hostile)))
    for name in hostile.values():
        assert name in text


def test_letters_that_cannot_be_printed_are_said_in_the_notes() -> None:
    """A name in letters that the typeface lacks is written by number, and the notes say so."""
    text = whole(report_pdf(renamed(sample(), {NAMES[0]: 'Koshu 甲\ud800'})))
    assert 'Koshu [U+7532]' in text
    assert "letters that this report's typeface lacks" in text


def test_the_same_findings_give_the_same_bytes(report: bytes) -> None:
    """Nothing in the file depends on the clock or on chance."""
    assert report == report_pdf(sample())


@pytest.mark.parametrize(('paper', 'size'), [('a4', (595, 842)), ('us-letter', (612, 792))])
def test_both_papers(paper: str, size: tuple[int, int]) -> None:
    """A4 is 210 × 297 mm (ISO 216), Letter 8½ × 11 inches (ANSI/ASME Y14.1)."""
    with closing(pypdfium2.PdfDocument(report_pdf(sample(), paper=paper))) as document:
        assert size == tuple(round(length) for length in document[0].get_size())


def test_a_disconnected_tasting_is_told_group_by_group() -> None:
    """Each group has its own heading and scores, and no joint chart exists."""
    text = whole(report_pdf(disconnected()))
    assert "Group 1: 5 wines" in text
    assert "Group 2: 3 wines" in text


def test_thousands_of_wines_show_both_ends_and_say_so() -> None:
    """1,100 wines: the first and last twenty, and a word on the rest."""
    text = whole(report_pdf(sample(1100, with_pairs=False, sites=())))
    assert "1,060 wines between" in text


@pytest.mark.parametrize('count', [2, 3, 13, 60])
def test_any_usual_number_of_wines(count: int) -> None:
    """Two to sixty wines all come out with every wine in the table."""
    findings = sample(count)
    text = whole(report_pdf(findings))
    assert all(wine.wine in text for wine in findings.total.wines)


def bare(findings: Findings) -> Findings:
    """Nothing but scores: no categories, bottles, severity, components, pairs, held rows."""
    total = dataclasses.replace(
        findings.total, pairs=(), components={}, criterion=None, covariates=(), wine_test=None,
        severity=None, bottles=(), top=None,
    )  # fmt: skip
    return dataclasses.replace(
        findings, total=total, categories={}, held=(), set_aside=(), effects=(), sites=0
    )


def test_what_is_missing_is_left_out() -> None:
    """A report of scores alone has no empty sections."""
    text = whole(report_pdf(bare(sample())))
    for title in ("Category by category", "Bottle to bottle", "The marks tell", "serving order"):
        assert title not in text
    assert "Nothing was held, and nothing was set aside." in text


def test_what_the_figures_beside_rest_on_is_told() -> None:
    """Steps that separate wines, words on every sheet, no second pours: each is explained."""
    ends = pl.col('wine').replace_strict({WINES[0]: 0.0, WINES[3]: 6.0}, default=pl.col('nose'))
    table = frame().with_columns(nose=ends, terms=pl.col('terms').list.concat(pl.lit(['always'])))
    text = whole(report_pdf(found(table.with_columns(total=pl.col('nose') + pl.col('mouth')))))
    for said in (
        "Order alone (Total, Nose): The steps separate some wines or tasters completely",
        "Order alone: Nobody gave",
        "Ticked on every sheet, which tells no wine from another: always.",
        "Nobody was poured a wine twice, so how closely tasters repeat themselves is not told.",
    ):
        assert said in text


def test_no_picture_without_figures() -> None:
    """Where no wine has enough marks there is no empty chart of scores."""
    findings = withhold(found(frame(tasters=4, sites=2), least=5), 5)
    text = whole(report_pdf(findings))
    assert "Thick bar" not in text
    assert "Too few wines have enough marks to be compared by order alone." in text
    assert "4 of 4 tasters gave fewer than 5 marks" in text


def test_a_very_long_word_does_not_run_off_the_page() -> None:
    """An unbroken name is cut or broken, and stays within the margins."""
    pdf = report_pdf(renamed(sample(), {NAMES[0]: 'W' * 300}))
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        for page in document:
            right = max(box[2] for box in (o.get_bounds() for o in page.get_objects()))
            assert right <= page.get_width()


def test_writing_is_whole_or_not_at_all(tmp_path: Path) -> None:
    """The file appears complete; a place that cannot be written is refused."""
    target = tmp_path / 'report.pdf'
    write_report(sample(3), target)
    assert target.read_bytes().startswith(b'%PDF-')
    with pytest.raises(OutputError, match='could not be written'):
        write_report(sample(2), tmp_path / 'missing' / 'report.pdf')
