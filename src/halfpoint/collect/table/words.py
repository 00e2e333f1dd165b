"""The words by which people head their columns, in a few languages."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

# Role → words, the role's own name first. Common usage, no source.
ROLE_WORDS: dict[str, tuple[str, ...]] = {
    'taster': (
        'taster', 'rater', 'judge', 'assessor', 'panelist', 'panellist', 'subject', 'respondent',
        'reviewer', 'member', 'participant', 'person', 'name', 'consumer', 'evaluator', 'user',
        'verkoster', 'prufer', 'pruefer', 'richter', 'juror', 'teilnehmer', 'degustateur',
        'dégustateur', 'juge', 'sujet', 'catador', 'juez', 'assaggiatore', 'giudice',
    ),
    'wine': (
        'wine', 'product', 'item', 'sample', 'treatment', 'object', 'entry', 'bottle', 'stimulus',
        'wein', 'produkt', 'probe', 'muster', 'vin', 'produit', 'echantillon', 'vino', 'producto',
        'muestra', 'prodotto', 'campione',
    ),
    'position': (
        'position', 'order', 'serving order', 'serving position', 'pour order', 'place', 'sequence',
        'rank order', 'turn', 'reihenfolge', 'ordre', 'rang', 'orden', 'posicion', 'ordine',
        'posizione',
    ),
    'site': (
        'site', 'room', 'group', 'table', 'location', 'place', 'venue', 'club', 'chapter', 'town',
        'centre', 'center', 'ort', 'raum', 'gruppe', 'tisch', 'standort', 'lieu', 'salle', 'groupe',
        'sitio', 'lugar', 'sala', 'grupo', 'mesa', 'sede', 'gruppo',
    ),
    'code': (
        'code', 'blind code', 'three digit code', 'sample code', 'wine code', 'glass', 'glass code',
        'blindcode', 'probencode', 'codice', 'codigo',
    ),
    'pour': ('pour', 'replicate', 'replication', 'rep', 'repeat', 'repetition', 'wiederholung'),
    'written_total': (
        'written total', 'total', 'sum', 'total mark', 'total score', 'points', 'summe', 'gesamt',
        'gesamtpunkte', 'somme', 'suma', 'totale', 'somma',
    ),
    'finish_seconds': (
        'finish seconds', 'finish', 'finish s', 'finish sec', 'seconds', 'length', 'length s',
        'length seconds', 'caudalie', 'caudalies', 'sekunden', 'secondes', 'segundos', 'secondi',
    ),
    'remark': (
        'remark', 'remarks', 'note', 'notes', 'comment', 'comments', 'bemerkung', 'bemerkungen',
        'kommentar', 'remarque', 'remarques', 'commentaire', 'observaciones', 'comentario',
        'osservazioni', 'commento',
    ),
    'terms': (
        'terms', 'aroma terms', 'aroma words', 'aromas', 'descriptors', 'words', 'aromen',
        'descripteurs', 'descriptores', 'descrittori',
    ),
    'faults': ('faults', 'fault', 'defects', 'defect', 'fehler', 'defauts', 'defectos', 'difetti'),
    'families': ('families', 'aroma families', 'aromafamilien', 'familles', 'familias', 'famiglie'),
    'finish_band': ('finish band', 'finish word', 'finish name'),
    'own_words': ('own words', 'words of my own', 'further words'),
}  # fmt: skip

# Category key → other words for it.
CATEGORY_WORDS: dict[str, tuple[str, ...]] = {
    'appearance': (
        'look', 'looks', 'colour', 'color', 'sight', 'visual', 'eye', 'aussehen', 'farbe', 'aspect',
        'robe', 'apparence', 'aspecto', 'vista', 'aspetto',
    ),
    'aroma': ('nose', 'smell', 'bouquet', 'odour', 'odor', 'geruch', 'nase', 'nez', 'olor', 'naso'),
    'taste': (
        'palate', 'flavour', 'flavor', 'mouth', 'geschmack', 'gaumen', 'bouche', 'gout', 'sabor',
        'gusto', 'boca',
    ),
    'aftertaste': (
        'after taste', 'persistence', 'abgang', 'nachgeschmack', 'nachhall', 'arriere gout',
        'persistance', 'retrogusto', 'final', 'finale',
    ),
    'overall': (
        'overall impression', 'impression', 'general impression', 'gesamteindruck', 'eindruck',
        'impression generale', 'impresion', 'impresion general', 'impressione',
    ),
}  # fmt: skip

# Words that say little by themselves: they count only when no better word is there.
WEAK_WORDS = frozenset({
    'name', 'object', 'entry', 'bottle', 'group', 'table', 'place',
    'centre', 'center', 'gruppe', 'groupe', 'grupo', 'gruppo', 'note', 'notes', 'points', 'sum',
    'length', 'final', 'glass', 'turn', 'rang', 'words',
})  # fmt: skip

# Never taken as a near miss of something else: 'taste' is one letter from 'taster'.
NEVER_NEAR = frozenset(
    {'taste', 'tasted', 'rate', 'rated', 'rating', 'score', 'mark', 'marks', 'date', 'time'}
    | {word for key, words in CATEGORY_WORDS.items() for word in (key, *words)}
)

_CAMEL = re.compile(r'(?<=[a-z])(?=[A-Z][a-z])')
_TAIL = re.compile(r' (?:id|name|no|nr|num|number|key|label|s name)$|(?<=[a-z]{3}[^s])s$')


@lru_cache(maxsize=65536)
def plain(name: str) -> str:
    """`name` in lower case, without accents, its words parted by single spaces."""
    spread = unicodedata.normalize('NFKD', _CAMEL.sub(' ', name).casefold())
    letters = ''.join(c for c in spread if not unicodedata.combining(c))
    return ' '.join(re.findall(r'[^\W_]+', letters))


def without_tail(name: str) -> str:
    """The plain name less an ending such as 'id', 'name' or 'no'."""
    return _TAIL.sub('', plain(name))
