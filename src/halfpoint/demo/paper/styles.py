"""The ways in which a page may come home, by name."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Style:
    """One way.

    Attributes:
        name: what it is called.
        device: `scan` or `photo`.
        detail: dots per inch of a scan, pixels along the long side of a photograph.
        quality: lowest and highest JPEG quality.
        messenger: compressed once more, as a messenger does.
        damage: a key of `damage.DAMAGE`, or ''.
    """

    name: str
    device: str
    detail: int
    quality: tuple[int, int]
    messenger: bool = False
    damage: str = ''

    @property
    def good(self) -> bool:
        """Whether nothing is wrong with it."""
        return not self.damage


_PLAIN = (
    Style('scan-200', 'scan', 200, (60, 90)),
    Style('scan-150', 'scan', 150, (60, 90)),
    Style('scan-150-q40', 'scan', 150, (40, 40)),
    Style('scan-200-q40', 'scan', 200, (40, 40)),
    Style('scan-300', 'scan', 300, (60, 90)),
    Style('photo-2mp', 'photo', 1600, (60, 60), messenger=True),
    Style('photo-5mp', 'photo', 2592, (70, 85)),
    Style('photo-12mp', 'photo', 4000, (78, 90)),
)
SCAN_DAMAGE = ('stained', 'folded', 'crumpled', 'torn', 'smudged')
PHOTO_DAMAGE = (
    'stained', 'folded', 'crumpled', 'torn', 'curled', 'shadowed', 'glare', 'finger', 'blurred',
)  # fmt: skip
_DAMAGED = {'scan-200': SCAN_DAMAGE, 'scan-150': SCAN_DAMAGE,
            'photo-2mp': PHOTO_DAMAGE, 'photo-5mp': PHOTO_DAMAGE}  # fmt: skip
STYLES: dict[str, Style] = {style.name: style for style in _PLAIN} | {
    f'{style.name}-{damage}': replace(style, name=f'{style.name}-{damage}', damage=damage)
    for style in _PLAIN
    for damage in _DAMAGED.get(style.name, ())
}
GOOD = tuple(name for name, style in STYLES.items() if style.good)
DAMAGED = tuple(name for name, style in STYLES.items() if not style.good)
