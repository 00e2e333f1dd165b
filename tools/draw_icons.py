"""Draws the app's icons: a half-point ruler with one mark on it.

Run by hand when the drawing changes.
"""

from __future__ import annotations

from pathlib import Path

import vl_convert

PUBLIC = Path(__file__).parents[1] / 'web/public'
PAPER, INK, MOSS, HONEY = '#fffdf8', '#1d2a2e', '#2f6b57', '#e9b949'
TICKS = 7


def drawing(size: int, corner: float, room: float) -> str:
    """The icon as SVG; `room` is the share of the side left free at each edge."""
    left, right, middle = size * room, size * (1 - room), size * 0.5
    step = (right - left) / (TICKS - 1)
    mark = left + 5 * step
    thin, thick = size * 0.022, size * 0.075
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" '
            f'width="{size}" height="{size}">'
        ),
        f'<rect width="{size}" height="{size}" rx="{corner:g}" fill="{PAPER}"/>',
    ]
    for tick in range(TICKS):
        x, whole = left + tick * step, tick % 2 == 0
        half = size * (0.17 if whole else 0.095)
        ink = MOSS if x <= mark else INK
        parts.append(line(f'M{x:.1f} {middle - half:.1f}V{middle + half:.1f}', ink, thin))
    parts += [
        line(f'M{left:.1f} {middle:g}H{right:.1f}', INK, thin),
        line(f'M{left:.1f} {middle:g}H{mark:.1f}', MOSS, thick),
        (
            f'<circle cx="{mark:.1f}" cy="{middle:g}" r="{size * 0.105:.1f}" fill="{HONEY}" '
            f'stroke="{PAPER}" stroke-width="{thin:.1f}"/>'
        ),
        '</svg>',
    ]
    return '\n'.join(parts) + '\n'


def line(path: str, ink: str, width: float) -> str:
    """A line with round ends."""
    return f'<path d="{path}" stroke="{ink}" stroke-width="{width:.1f}" stroke-linecap="round"/>'


def write(name: str, svg: str, side: int) -> None:
    """The drawing as PNG of so many pixels."""
    png = vl_convert.svg_to_png(svg, scale=side / 512)
    (PUBLIC / name).write_bytes(png)


if __name__ == '__main__':
    PUBLIC.mkdir(parents=True, exist_ok=True)
    whole, mask = drawing(512, 96, 0.14), drawing(512, 0, 0.24)
    (PUBLIC / 'icon.svg').write_text(whole, encoding='utf-8')
    write('icon-192.png', whole, 192)
    write('icon-512.png', whole, 512)
    write('icon-mask.png', mask, 512)
