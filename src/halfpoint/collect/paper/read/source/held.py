"""Why a page gives no picture, in the words of a refusal."""

from __future__ import annotations

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source.limits import MOST_OBJECTS, MOST_PIXELS, MOST_SIDE

_AGAIN = "scan or photograph this page again"


def too_large(width: int, height: int) -> HeldPage:
    """An image that no scanner or camera needs for a page."""
    return HeldPage(
        'too-large',
        f"a picture of {width:,} × {height:,} pixels",
        f"at most {MOST_SIDE:,} pixels on a side and {MOST_PIXELS // 10**6} million in all",
        "scan in grey at 200 dpi",
    )


def too_much_memory() -> HeldPage:
    """A page for which the memory did not suffice."""
    return HeldPage(
        'too-large',
        "a page that needs more memory than there is",
        "a scan in grey at 200 dpi",
        _AGAIN,
    )


def too_many_objects(count: int) -> HeldPage:
    """A page of a PDF on which far too much is drawn."""
    return HeldPage(
        'too-large',
        f"a page on which {count:,} things are drawn",
        f"a scan, or a page of at most {MOST_OBJECTS:,} things",
        "print this page to a picture, or scan it in grey at 200 dpi",
    )


def unreadable(why: str) -> HeldPage:
    """A page whose bytes are damaged."""
    return HeldPage(
        'unreadable',
        f"a page that cannot be decoded ({why})",
        "a whole, undamaged picture",
        f"copy the file again from where it came, or {_AGAIN}",
    )


def no_such_page(page: int, pages: int) -> HeldPage:
    """A page beyond the end."""
    return HeldPage('unreadable', f"no page {page}", f"a page from 1 to {pages}", _AGAIN)
