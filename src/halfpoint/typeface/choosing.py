"""Which fonts of the machine to set beside the shipped typeface, for names in other scripts."""

from __future__ import annotations

import json
import tempfile
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from pathlib import Path

import typst

from halfpoint.errors import InputError
from halfpoint.typeface import FAMILY, font_directory, is_covered
from halfpoint.typeface.letters import JOINERS, UNKNOWN, Run, clusters, is_unseen, runs
from halfpoint.typeface.machine import PLAIN, Face, faces, font_files, font_folders

REMEDY = (
    "install a font for the script (on Debian or Ubuntu the package fonts-noto-core, and "
    "fonts-noto-cjk for Chinese, Japanese and Korean; on a Mac add one to Font Book), or name a "
    "folder that has one with --fonts DIR or as fonts under [print] in the tasting file"
)
_PROOF = Path(__file__).with_name('proof.typ')


@dataclass(frozen=True, slots=True)
class Beside:
    """A font of the machine, alone in a folder; its letters, and a pattern that finds them."""

    family: str
    folder: Path
    letters: frozenset[str]
    pattern: str


@dataclass(frozen=True, eq=False)
class Typefaces:
    """The shipped typeface, and what is set beside it; made by `typefaces_for`.

    `unfit` are texts that did not come out whole when they were set for proof.
    """

    beside: tuple[Beside, ...] = ()
    unfit: frozenset[str] = frozenset()

    @cached_property
    def fonts(self) -> typst.Fonts:
        """What Typst may set from: these fonts and no other of the machine."""
        folders = [font_directory(), *(font.folder for font in self.beside)]
        return typst.Fonts(include_system_fonts=False, font_paths=[*folders])

    @property
    def rules(self) -> list[list[str]]:
        """Family and pattern of each font beside the shipped one, as the templates take them."""
        return [[font.family, font.pattern] for font in self.beside]

    def lacking(self, text: str) -> tuple[str, ...]:
        """The stretches of a text, as set, that none of the typefaces can print whole."""
        found = runs(text)
        if text in self.unfit:
            return tuple(run.text for run in found)
        return tuple(
            run.text
            for run in found
            if not any(_seen(run.text) <= font.letters for font in self.beside)
        )

    def checked(self, text: str) -> str:
        """The text itself.

        Raises:
            InputError: there are letters in it that would not be printed.
        """
        lacking = self.lacking(text)
        if lacking:
            raise InputError(
                f"no typeface here has the letters of '{', '.join(lacking)}'",
                where=f"'{text}'",
                remedy=REMEDY,
            )
        return text


SHIPPED = Typefaces()


@contextmanager
def typefaces_for(texts: Iterable[str], first: Path | None = None) -> Iterator[Typefaces]:
    """The typefaces for some texts, as set: the shipped one, and fonts of the machine if needed.

    A script is set in one font, the first that has all its letters; where none has, in as few
    fonts as have most of its words. The same texts on the same machine find the same fonts.

    Args:
        texts: what is to be printed, each as `letters.one_line` gives it.
        first: a folder of fonts to be preferred to those installed.

    Raises:
        InputError: the folder is not there, or has no fonts in it.
    """
    if first is not None:
        _check_folder(first)
    beyond = {text: found for text in dict.fromkeys(texts) if (found := runs(text))}
    if not beyond:
        yield SHIPPED
        return
    with tempfile.TemporaryDirectory(prefix='halfpoint-fonts-') as scratch:
        wanted = list(chain.from_iterable(beyond.values()))
        chosen = Typefaces(tuple(_beside(wanted, first, Path(scratch))))
        whole = [text for text in beyond if not chosen.lacking(text)]
        yield Typefaces(chosen.beside, frozenset(_unfit(chosen, whole)))


def _check_folder(folder: Path) -> None:
    if not font_files(folder):
        raise InputError(
            "no fonts" if folder.is_dir() else "no such folder",
            where=str(folder),
            expected="a folder with font files: .ttf, .otf, .ttc or .otc",
            remedy="name another folder, or none, to use the fonts that are installed",
        )


def _beside(wanted: Sequence[Run], first: Path | None, scratch: Path) -> Iterator[Beside]:
    """Fonts for the runs, no letter taken from two of them."""
    by_script: dict[str, list[Run]] = defaultdict(list)
    for run in dict.fromkeys(wanted):
        # Letters of private use look different in every font.
        if run.script != UNKNOWN:
            by_script[run.script].append(run)
    letters = {script: _seen(*(run.text for run in found)) for script, found in by_script.items()}
    files = chain.from_iterable(map(font_files, ([first] if first else []) + [*font_folders()]))
    offered = _known(chain.from_iterable(faces(file, letters) for file in files), scratch)
    taken: set[str] = set()
    for offer, own in _chosen(by_script, letters, offered).items():
        pattern = _pattern([run.text for run in own], taken)
        fresh = _seen(*(run.text for run in own))
        taken |= fresh
        yield Beside(offer.family, offer.folder, fresh, pattern)


@dataclass(frozen=True, slots=True, eq=False)
class _Offer:
    """A face in a folder of its own, by the name that Typst gives it."""

    family: str
    folder: Path
    face: Face


def _known(offered: Iterable[Face], scratch: Path) -> Iterator[_Offer]:
    """The faces that Typst can take, each family once, and never one called as ours."""
    known = {FAMILY.casefold()}
    for number, face in enumerate(offered):
        folder = scratch / str(number)
        folder.mkdir()
        (folder / face.file.name).symlink_to(face.file.resolve())
        own = typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder]
        )
        family = next((font.family for font in own.fonts() if font.index == face.index), '')
        if family and family.casefold() not in known:
            known.add(family.casefold())
            yield _Offer(family, folder, face)


def _chosen(
    by_script: Mapping[str, Sequence[Run]],
    letters: Mapping[str, frozenset[str]],
    offered: Iterable[_Offer],
) -> dict[_Offer, list[Run]]:
    """Which fonts to take, and for which runs; those that no font has whole are in none."""
    whole: dict[str, _Offer] = {}
    partly: dict[str, list[_Offer]] = defaultdict(list)
    for offer in offered:
        for script, found in offer.face.letters.items():
            if letters[script] <= found:
                whole.setdefault(script, offer)
            partly[script].append(offer)
        if len(whole) == len(by_script):
            break
    taken: dict[_Offer, list[Run]] = defaultdict(list)
    for script, found_runs in by_script.items():
        offers = [whole[script]] if script in whole else partly[script]
        # Letters that join are not parted over two fonts.
        most = len(offers) if script in PLAIN else min(1, len(offers))
        for offer, own in _shared(script, found_runs, offers, most):
            taken[offer] += own
    return taken


def _shared(
    script: str, wanted: Sequence[Run], offers: Sequence[_Offer], most: int
) -> Iterator[tuple[_Offer, list[Run]]]:
    """The runs of a script over at most so many fonts, to that first which has most of them."""
    left = list(wanted)
    for _ in range(most):
        own: dict[_Offer, list[Run]] = {
            offer: [run for run in left if _seen(run.text) <= offer.face.letters[script]]
            for offer in offers
        }
        best = max(own, key=lambda offer: len(own[offer]))
        if not own[best]:
            return
        yield best, own[best]
        done = set(own[best])
        left = [run for run in left if run not in done]
        if not left:
            return


def _seen(*texts: str) -> frozenset[str]:
    """The letters of texts that have to have a shape."""
    return frozenset(c for text in texts for c in text if not is_unseen(c))


def _pattern(texts: Iterable[str], taken: Collection[str]) -> str:
    """A regular expression for the runs: letters beyond the shipped typeface, and their marks."""
    letters: set[str] = set()
    bases: set[str] = set()
    marks = set(JOINERS)
    for cluster in chain.from_iterable(map(clusters, texts)):
        (bases if is_covered(cluster[0]) else letters).add(cluster[0])
        marks.update(cluster[1:])
    own = (letters - set(taken)) or letters
    ways = [f'{_class(own)}{_class(own | marks)}*'] if own else []
    ways += [f'{_class(bases)}{_class(marks)}+'] if bases else []
    return '|'.join(ways)


def _class(letters: Collection[str]) -> str:
    escaped = ''.join(f'\\u{{{ord(letter):x}}}' for letter in sorted(letters))
    return f'[{escaped}]'


def _unfit(typefaces: Typefaces, texts: Sequence[str]) -> Iterator[str]:
    """Those texts that do not come out whole.

    PDF/UA-1 (ISO 14289-1, 7.21.8) allows no reference to the sign for a missing letter, so
    Typst refuses to set such a document.
    """
    if not texts or _is_whole(typefaces, texts):
        return
    if len(texts) == 1:
        yield texts[0]
        return
    half = len(texts) // 2
    yield from _unfit(typefaces, texts[:half])
    yield from _unfit(typefaces, texts[half:])


def _is_whole(typefaces: Typefaces, texts: Sequence[str]) -> bool:
    said = json.dumps({'family': FAMILY, 'beside': typefaces.rules, 'texts': list(texts)})
    compiler = typst.Compiler(_PROOF, font_paths=typefaces.fonts, ignore_system_fonts=True)
    try:
        compiler.compile(format='pdf', sys_inputs={'data': said}, pdf_standards=['ua-1'])
    except typst.TypstError:
        return False
    return True
