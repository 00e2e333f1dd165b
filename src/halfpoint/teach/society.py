"""Members of a society over the years, without their names.

The organiser keeps one secret beside the tastings. From it and from what the society calls a
member comes a pseudonym that is the same every year; without it nobody can tell from a pseudonym
who it is, nor make one for a member they know (HMAC, RFC 2104, with SHA-256).
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import os
import secrets
from collections.abc import Mapping
from pathlib import Path

from halfpoint.errors import FileNotReadable, InputError, OutputError, UsageError
from halfpoint.sheet.words import fold
from halfpoint.tasting.model import Tasting
from halfpoint.writing import writing_refusal

HEAD = 'halfpoint society key: '
BYTES = 32
LONG = 16


def begin_society(path: Path) -> None:
    """Make the secret, readable by its owner alone.

    Raises:
        UsageError: something is there already.
        OutputError: it could not be written.
    """
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, 'w', encoding='ascii') as stream:
            stream.write(f'{HEAD}{secrets.token_hex(BYTES)}\n')
    except FileExistsError:
        raise UsageError(
            f"{path} is there already",
            where="--begin",
            expected="a name that is still free: another key would make everybody a stranger",
            remedy="leave --begin out to use the key that is there",
        ) from None
    except OSError as reason:
        refusal: OutputError = writing_refusal(path, reason)
        raise refusal from reason


def read_society(path: Path) -> bytes:
    """The secret.

    Raises:
        FileNotReadable: missing, a folder, or no permission.
        InputError: not a society's key, or one cut short.
    """
    try:
        text = path.read_text('ascii', 'replace').strip()
    except OSError as reason:
        raise FileNotReadable(
            f"could not be read ({(reason.strerror or str(reason)).lower()})",
            where=str(path),
            expected="the society's key",
            remedy="make one, once and for all, with halfpoint years --begin",
        ) from None
    try:
        key = bytes.fromhex(text.removeprefix(HEAD))
    except ValueError:
        key = b''
    if not text.startswith(HEAD) or len(key) != BYTES:
        raise InputError(
            "this is not a society's key, or it was cut short",
            where=str(path),
            expected="the file that `halfpoint years --begin` made",
            remedy="take it from the copy that you keep elsewhere",
        )
    return key


def pseudonym(key: bytes, member: str) -> str:
    """The same for a member every year; 80 bits, so that two members never share one."""
    digest = hmac.new(key, fold(member).encode('utf-8'), hashlib.sha256).digest()
    return f'member-{base64.b32encode(digest).decode("ascii")[:LONG].lower()}'


def members_of(tasting: Tasting, called: Mapping[str, str]) -> dict[str, str]:
    """What a result calls a taster → what the society calls the member.

    Args:
        tasting: the tasting file.
        called: tasters who were erased, to their pseudonyms; they are nobody's from then on.

    Raises:
        InputError: two tasters are one member.
    """
    found: dict[str, str] = {}
    for taster in tasting.tasters:
        if taster.key in called:
            continue
        member = taster.member or taster.key
        twins = [key for key, other in found.items() if fold(other) == fold(member)]
        if twins:
            raise InputError(
                f"tasters {twins[0]} and {taster.key} are both the member '{member}'",
                where=str(tasting.source),
                expected="each member once, as `member` or `key` of a taster",
            )
        found[taster.key] = member
    return found
