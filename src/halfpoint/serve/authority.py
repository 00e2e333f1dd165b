"""An authority of this machine's own: a phone that trusts it once can install the sheet.

It vouches for this machine's names and for the private addresses of a room, and for nothing
else: whoever steals its key can pretend to be no other site (RFC 5280, section 4.2.1.10).
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from halfpoint.writing import write_bytes_safely, writing_refusal

LASTING = timedelta(days=3650)
# Clocks in a room differ.
BEFORE = timedelta(days=1)
NETWORKS = ipaddress.IPv4Network, ipaddress.IPv6Network
# RFC 1918, RFC 3927, RFC 4193, RFC 4291: what a room's network gives out, and the machine itself.
ROOMS = tuple(
    map(
        ipaddress.ip_network,
        (
            '10.0.0.0/8', '172.16.0.0/12', '192.168.0.0/16', '169.254.0.0/16', '127.0.0.0/8',
            'fc00::/7', 'fe80::/10', '::1/128',
        ),
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Authority:
    """A certificate that signs others, with its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    def vouches_for(self, names: Iterable[x509.GeneralName]) -> bool:
        """Whether it may sign for all of these."""
        allowed = self.certificate.extensions.get_extension_for_class(x509.NameConstraints).value
        return all(_is_within(name, allowed.permitted_subtrees or ()) for name in names)


def authority_path(tasting: Path) -> Path:
    """Where the certificate of the authority lies, beside the tasting."""
    return tasting.with_suffix('.trust.pem')


def machine_authority(
    tasting: Path, names: Iterable[x509.GeneralName], longest: timedelta
) -> Authority:
    """The authority beside a tasting, made anew when it may not vouch for all names.

    Args:
        tasting: the path of the tasting file.
        names: what it has to vouch for.
        longest: how long what it signs is valid; it has to outlive that.

    Raises:
        OutputError: it could not be written.
    """
    names = tuple(names)
    path, key_path = authority_path(tasting), tasting.with_suffix('.trust.key.pem')
    known = _read(path, key_path)
    if known and _lasts(known.certificate, longest) and known.vouches_for(names):
        return known
    key = ec.generate_private_key(ec.SECP256R1())
    certificate = _sign(key, names)
    write_secret(key_path, key)
    write_bytes_safely(path, certificate.public_bytes(serialization.Encoding.PEM))
    return Authority(certificate, key)


def read_pair(
    certificate: Path, key: Path
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey] | None:
    """A certificate with the key that belongs to it; None when there is no such pair."""
    try:
        known = x509.load_pem_x509_certificate(certificate.read_bytes())
        secret = serialization.load_pem_private_key(key.read_bytes(), password=None)
    except (OSError, ValueError, TypeError):
        return None
    if not isinstance(secret, ec.EllipticCurvePrivateKey):
        return None
    kind = serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    own = secret.public_key().public_bytes(*kind) == known.public_key().public_bytes(*kind)
    return (known, secret) if own else None


def write_secret(path: Path, secret: ec.EllipticCurvePrivateKey) -> None:
    """Write a key for its owner's eyes alone from the first moment.

    Raises:
        OutputError: it could not be written.
    """
    content = secret.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    try:
        path.unlink(missing_ok=True)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), 'wb') as stream:
            stream.write(content)
    except OSError as reason:
        raise writing_refusal(path, reason) from reason


def _sign(key: ec.EllipticCurvePrivateKey, names: tuple[x509.GeneralName, ...]) -> x509.Certificate:
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "halfpoint, this machine alone")])
    now = datetime.now(UTC)
    public = key.public_key()
    signs = x509.KeyUsage(
        digital_signature=False, content_commitment=False, key_encipherment=False,
        data_encipherment=False, key_agreement=False, key_cert_sign=True, crl_sign=True,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip
    return (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(who)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BEFORE)
        .not_valid_after(now - BEFORE + LASTING)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(signs, critical=True)
        .add_extension(x509.NameConstraints(_allowed(names), None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .sign(key, hashes.SHA256())
    )


def _allowed(names: tuple[x509.GeneralName, ...]) -> list[x509.GeneralName]:
    rooms: list[x509.GeneralName] = [x509.IPAddress(network) for network in ROOMS]
    beyond = [name for name in names if not _is_within(name, rooms)]
    return rooms + [_alone(name) for name in beyond]


def _alone(name: x509.GeneralName) -> x509.GeneralName:
    if isinstance(name, x509.IPAddress):
        return x509.IPAddress(ipaddress.ip_network(name.value))
    return name


def _is_within(name: x509.GeneralName, allowed: Iterable[x509.GeneralName]) -> bool:
    if not isinstance(name, x509.IPAddress):
        return name in set(allowed)
    networks = [each.value for each in allowed if isinstance(each, x509.IPAddress)]
    return any(name.value in network for network in networks if isinstance(network, NETWORKS))


def _lasts(certificate: x509.Certificate, longest: timedelta) -> bool:
    return datetime.now(UTC) + longest < certificate.not_valid_after_utc


def _read(path: Path, key_path: Path) -> Authority | None:
    pair = read_pair(path, key_path)
    if pair is None:
        return None
    try:
        pair[0].extensions.get_extension_for_class(x509.NameConstraints)
    except (ValueError, x509.ExtensionNotFound):
        return None
    return Authority(*pair)
