"""Tokens: given out once, and kept only as what they hash to."""

from __future__ import annotations

import hashlib
import secrets


def new_token() -> str:
    """A token nobody can guess: 256 bits, safe in addresses and headers."""
    return secrets.token_urlsafe(32)


def kept_as(token: str) -> str:
    """What is kept of a token: its SHA-256 hash, as hexadecimal digits.

    A token has 256 bits of chance, so that a fast hash without salt keeps it as well as a slow
    one.  What is looked up is the hash, so the time a look takes says nothing of the token.
    """
    return hashlib.sha256(token.encode('utf-8', 'surrogatepass')).hexdigest()
