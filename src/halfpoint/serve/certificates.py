"""A certificate for this machine, signed by itself, so that a room can talk to it encrypted."""

from __future__ import annotations

import ipaddress
import os
import socket
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from halfpoint.serve.addresses import lan_addresses
from halfpoint.writing import write_bytes_safely, writing_refusal

# Browsers take none that is valid for longer than 398 days (CA/Browser Forum, Baseline
# Requirements, section 6.3.2); a week before its end a new one is made.
LASTING = timedelta(days=397)
RENEW_BEFORE = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class LocalCertificate:
    """Where certificate and key lie, and by what the certificate is told apart.

    `fingerprint` is its SHA-256 as browsers show it; `is_new` whether it was made just now.
    """

    certificate: Path
    key: Path
    fingerprint: str
    is_new: bool


def local_names(*also: str) -> tuple[str, ...]:
    """The names and addresses under which this machine may be found."""
    name = socket.gethostname()
    local = name if '.' in name else f'{name}.local'
    names = ('localhost', '127.0.0.1', '::1', name, local, *lan_addresses(), *also)
    # A certificate has names in ASCII alone.
    return tuple(dict.fromkeys(each for each in names if each and each.isascii()))


def local_certificate(tasting: Path, names: Iterable[str]) -> LocalCertificate:
    """The certificate beside a tasting, made anew when it does not serve any more.

    Raises:
        OutputError: it could not be written.
    """
    certificate, key = tasting.with_suffix('.cert.pem'), tasting.with_suffix('.key.pem')
    names = tuple(names)
    known = _read(certificate, key)
    if known is not None and _serves(known, names):
        return LocalCertificate(certificate, key, _fingerprint(known), is_new=False)
    secret = ec.generate_private_key(ec.SECP256R1())
    made = _sign(secret, names)
    _write_secret(key, secret)
    write_bytes_safely(certificate, made.public_bytes(serialization.Encoding.PEM))
    return LocalCertificate(certificate, key, _fingerprint(made), is_new=True)


def _sign(secret: ec.EllipticCurvePrivateKey, names: tuple[str, ...]) -> x509.Certificate:
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "halfpoint on this machine")])
    now = datetime.now(UTC)
    return (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(who)
        .public_key(secret.public_key())
        .serial_number(x509.random_serial_number())
        # Clocks in a room differ.
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now - timedelta(days=1) + LASTING)
        .add_extension(x509.SubjectAlternativeName([_name(name) for name in names]), critical=False)
        # It vouches for this machine alone: trusted on a phone, it can sign for no other.
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(secret, hashes.SHA256())
    )


def _name(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _read(certificate: Path, key: Path) -> x509.Certificate | None:
    try:
        known = x509.load_pem_x509_certificate(certificate.read_bytes())
        secret = serialization.load_pem_private_key(key.read_bytes(), password=None)
    except (OSError, ValueError, TypeError):
        return None
    ours, theirs = secret.public_key(), known.public_key()
    kind = serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    return known if ours.public_bytes(*kind) == theirs.public_bytes(*kind) else None


def _serves(known: x509.Certificate, names: tuple[str, ...]) -> bool:
    if known.not_valid_after_utc - RENEW_BEFORE < datetime.now(UTC):
        return False
    said = known.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {_name(name) for name in names} <= set(said)


def _fingerprint(certificate: x509.Certificate) -> str:
    return certificate.fingerprint(hashes.SHA256()).hex(':').upper()


def _write_secret(path: Path, secret: ec.EllipticCurvePrivateKey) -> None:
    content = secret.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    try:
        path.unlink(missing_ok=True)
        # For its owner's eyes alone from the first moment.
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), 'wb') as stream:
            stream.write(content)
    except OSError as reason:
        raise writing_refusal(path, reason) from reason
