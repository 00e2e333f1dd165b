"""Where pictures of pages come from: scans and photographs, page by page, whatever is in them."""

from halfpoint.collect.paper.read.source.find import Found, find_files, look_through
from halfpoint.collect.paper.read.source.guard import hush_decoders, limit_memory
from halfpoint.collect.paper.read.source.limits import SECONDS_A_PAGE
from halfpoint.collect.paper.read.source.open import open_scan
from halfpoint.collect.paper.read.source.reader import Reader, open_pages, picture
from halfpoint.collect.paper.read.source.scan import Picture, ScanFile

__all__ = [
    'SECONDS_A_PAGE',
    'Found',
    'Picture',
    'Reader',
    'ScanFile',
    'find_files',
    'hush_decoders',
    'limit_memory',
    'look_through',
    'open_pages',
    'open_scan',
    'picture',
]
