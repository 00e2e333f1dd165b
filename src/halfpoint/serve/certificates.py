"""A certificate for this machine, so that a room can talk to it encrypted."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from halfpoint.serve.addresses import lan_addresses
from halfpoint.serve.authority import (
    BEFORE,
    Authority,
    authority_path,
    machine_authority,
    read_pair,
    write_secret,
)
from halfpoint.writing import write_bytes_safely

# Browsers take none that is valid for longer than 398 days (CA/Browser Forum, Baseline
# Requirements, section 6.3.2); a week before its end a new one is made.
LASTING = timedelta(days=397)
RENEW_BEFORE = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class LocalCertificate:
    """Where certificate and key lie, and by what the certificate is told apart.

    `trust` is the certificate of the authority that signed it, for phones to trust;
    `fingerprint` its own SHA-256 as browsers show it; `is_new` whether it was made just now.
    """

    certificate: Path
    key: Path
    trust: Path
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
    wanted = tuple(map(_name, names))
    authority, trust = machine_authority(tasting, wanted, LASTING), authority_path(tasting)
    known = read_pair(certificate, key)
    if known is not None and _serves(known[0], wanted, authority):
        return LocalCertificate(certificate, key, trust, _fingerprint(known[0]), is_new=False)
    secret = ec.generate_private_key(ec.SECP256R1())
    made = _sign(secret, wanted, authority)
    write_secret(key, secret)
    chain = (made, authority.certificate)
    pem = b''.join(each.public_bytes(serialization.Encoding.PEM) for each in chain)
    write_bytes_safely(certificate, pem)
    return LocalCertificate(certificate, key, trust, _fingerprint(made), is_new=True)


def _sign(
    secret: ec.EllipticCurvePrivateKey, names: tuple[x509.GeneralName, ...], by: Authority
) -> x509.Certificate:
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "halfpoint on this machine")])
    signer = x509.AuthorityKeyIdentifier.from_issuer_public_key(by.key.public_key())
    now = datetime.now(UTC)
    return (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(by.certificate.subject)
        .public_key(secret.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BEFORE)
        .not_valid_after(now - BEFORE + LASTING)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(signer, critical=False)
        .sign(by.key, hashes.SHA256())
    )


def _name(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _serves(
    known: x509.Certificate, names: tuple[x509.GeneralName, ...], authority: Authority
) -> bool:
    if known.not_valid_after_utc - RENEW_BEFORE < datetime.now(UTC):
        return False
    try:
        known.verify_directly_issued_by(authority.certificate)
        said = known.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False
    return set(names) <= set(said)


def _fingerprint(certificate: x509.Certificate) -> str:
    return certificate.fingerprint(hashes.SHA256()).hex(':').upper()
