"""The result as one JSON document; `Document` is its shape, and the schema follows from it."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from operator import attrgetter
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from halfpoint.aroma.said import AromaFindings
from halfpoint.estimate.findings import (
    AuditFinding,
    BottleFinding,
    ComponentFinding,
    CovariateFinding,
    Findings,
    HeldFinding,
    Histogram,
    MarkFindings,
    PairFinding,
    Part,
    SetAsideFinding,
    SuspectBottle,
    WineFinding,
    WineTest,
)
from halfpoint.estimate.ordinal.said import OrdinalFindings
from halfpoint.estimate.scale.said import ScaleFindings
from halfpoint.panel.said import PanelFindings, TasterFinding

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


@dataclass(frozen=True, slots=True)
class Document:
    """The result of one tasting. What the total says stands at the top level."""

    title: str
    sheet: str
    source: str
    invented: bool
    version: str
    seed: int
    form: str
    effects: tuple[str, ...]
    marks: int
    taster_count: int
    sites: int
    connected: bool
    label: str
    top: float | None
    mean: float
    sd: float
    wines: tuple[WineFinding, ...]
    pairs: tuple[PairFinding, ...]
    components: dict[str, ComponentFinding]
    criterion: float | None
    covariates: tuple[CovariateFinding, ...]
    wine_test: WineTest | None
    severity: Histogram | None
    bottles: tuple[BottleFinding, ...]
    ordinal: OrdinalFindings | None
    suspects: tuple[SuspectBottle, ...]
    scale: ScaleFindings | None
    panel: PanelFindings | None
    tasters: tuple[TasterFinding, ...]
    aroma: AromaFindings | None
    parts: tuple[Part, ...]
    categories: dict[str, MarkFindings]
    held: tuple[HeldFinding, ...]
    set_aside: tuple[SetAsideFinding, ...]
    audit: AuditFinding | None
    notes: tuple[str, ...]


def document(findings: Findings) -> Document:
    """The findings with their total lifted to the top level."""
    given: dict[str, Any] = {'taster_count': findings.tasters, 'tasters': findings.by_taster}
    for field in fields(Document):
        source = findings if hasattr(findings, field.name) else findings.total
        if field.name not in given:
            given[field.name] = getattr(source, field.name)
    given['notes'] = tuple(dict.fromkeys((*findings.notes, *findings.total.notes)))
    return Document(**given)


def to_json(findings: Findings, written: Mapping[str, str] = MappingProxyType({})) -> str:
    """The findings as a JSON document, described by `findings_schema`.

    Fields come in the order of `Document`, each on a line of its own, and each wine, pair
    or row on its own line below. What has no finite value is null. Ends with a newline;
    can always be written as UTF-8. `written` are fields that `write_fields` wrote before.
    """
    return as_json(document(findings), written)


def write_fields(findings: Findings, names: Iterable[str]) -> dict[str, str]:
    """Some fields of the document as they stand in it, to be written once only."""
    made = document(findings)
    return {name: _lines(getattr(made, name)) for name in names}


def as_json(whole: DataclassInstance, written: Mapping[str, str] = MappingProxyType({})) -> str:
    """Any dataclass as a JSON document, in the manner of `to_json`."""
    lines = [
        f'  "{field.name}": {written.get(field.name) or _lines(getattr(whole, field.name))}'
        for field in fields(whole)
    ]
    text = '{\n' + ',\n'.join(lines) + '\n}\n'
    return text.encode('utf-8', 'replace').decode('utf-8')


def plain(value: Any) -> Any:
    """Dataclasses and tuples as dicts and lists; None for a number that is not finite."""
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    if value is None or isinstance(value, str | int):
        return value
    if isinstance(value, tuple | list):
        return [plain(inner) for inner in value]
    if isinstance(value, dict):
        return {name: plain(inner) for name, inner in value.items()}
    return plain(_opened(value))


def _lines(value: Any) -> str:
    if isinstance(value, tuple) and value and is_dataclass(value[0]):
        return '[\n    ' + ',\n    '.join(map(_compact, value)) + '\n  ]'
    if isinstance(value, dict) and value:
        inner = [f'{_compact(name)}: {_compact(part)}' for name, part in value.items()]
        return '{\n    ' + ',\n    '.join(inner) + '\n  }'
    return _compact(value)


def _compact(value: Any) -> str:
    try:
        return _ENCODER.encode(value)
    except ValueError:
        return _ENCODER.encode(plain(value))


def _opened(value: Any) -> Any:
    """What the encoder does not know: a dataclass as a dict, a NumPy number as a number."""
    if not is_dataclass(value):
        return value.item()
    names, read = _reader(value.__class__)
    return dict(zip(names, read(value), strict=True))


@cache
def _reader(shape: Any) -> tuple[tuple[str, ...], Callable[[Any], tuple[Any, ...]]]:
    names = tuple(field.name for field in fields(shape))
    return names, attrgetter(*names)


_ENCODER = json.JSONEncoder(ensure_ascii=False, allow_nan=False, default=_opened)
