"""The organiser's password, kept as its Argon2id hash."""

from __future__ import annotations

import secrets
import threading

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from halfpoint.serve.desk_store import DeskStore

# Lower-case letters and digits that are not mistaken for each other: 31, so 16 make 79 bits.
_LETTERS = 'abcdefghjkmnpqrstuvwxyz23456789'
_GROUPS, _GROUP = 4, 4
SHORTEST, LONGEST = 10, 256

# The parameters are the low-memory ones of RFC 9106, section 4: Argon2id, 3 passes, 64 MiB.
_HASHER = PasswordHasher()
# Each takes 64 MiB, so that many at once would take the memory of a small machine.
_TURN = threading.Semaphore(2)


def new_password() -> str:
    """A password to write down: four groups of four letters and digits."""
    groups = (''.join(secrets.choice(_LETTERS) for _ in range(_GROUP)) for _ in range(_GROUPS))
    return '-'.join(groups)


def hash_password(password: str) -> str:
    """What is kept of a password."""
    with _TURN:
        return _HASHER.hash(password.encode('utf-8', 'surrogatepass'))


def is_password(kept: str, password: str) -> bool:
    """Whether this is the password; takes as long when it is not."""
    with _TURN:
        try:
            return _HASHER.verify(kept, password.encode('utf-8', 'surrogatepass'))
        except (VerificationError, InvalidHashError):
            return False


def set_password(desk: DeskStore, password: str) -> None:
    """Keep this as the organiser's password, and end every session."""
    desk.keep('password', hash_password(password))
    desk.end_sessions()
