"""Damaged TOML: what a hurried hand, a broken copy or a fuzzer makes of a good file."""

from __future__ import annotations

from hypothesis import strategies as st

VALUES = [
    '""', '" "', '"x"', "'''\n'''", '0', '-1', '3', '0.5', '1e400', 'nan', '-inf', 'true',
    '1979-05-27', '1979-05-27T07:32:00Z', '07:32:00', '[]', '[[]]', '[1, "a", {}]', '{}',
    '{ key = "a" }', '{ key = 1, label = [] }', f'0x{"F" * 400}', f'"{"a" * 300}"', '9' * 25,
    '"1/3"', '"1/0"', '"\\u0000"', '"½"', '5000-01-01',
]  # fmt: skip

# A small alphabet of telling characters: drawing from all of Unicode takes seconds to begin.
JUNK = st.text(alphabet='"\'[]{}=#.,-_ab1½é\0\t\\\ud800', max_size=12)


@st.composite
def mutated(draw: st.DrawFn, text: str) -> str:
    """The text with a few lines changed, lost, doubled, moved or overwritten."""
    lines = text.splitlines()
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(lines) - 1))
        line = lines[place]
        match draw(st.sampled_from(['value', 'key', 'lose', 'double', 'move', 'junk', 'heading'])):
            case 'value':
                lines[place] = f'{line.split("=")[0]}= {draw(st.sampled_from(VALUES))}'
            case 'key':
                lines[place] = (
                    f'{draw(st.sampled_from(["key", "x", "label", "top"]))} = {line[-3:]}'
                )
            case 'lose':
                lines[place] = ''
            case 'double':
                lines.insert(place, line)
            case 'move':
                lines.insert(draw(st.integers(0, len(lines) - 1)), line)
            case 'heading':
                name = draw(st.sampled_from(['category', 'finish', 'wine', 'site', 'tasting', 'q']))
                lines.insert(place, draw(st.sampled_from([f'[{name}]', f'[[{name}]]'])))
            case _:
                lines[place] = draw(JUNK)
    return '\n'.join(lines)
