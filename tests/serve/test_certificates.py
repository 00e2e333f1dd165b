"""The certificate that a machine makes for itself."""

from __future__ import annotations

import hashlib
import socket
import ssl
import stat
import threading
from contextlib import suppress
from datetime import timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from halfpoint.errors import OutputError
from halfpoint.serve import certificates
from halfpoint.serve.authority import Authority, write_secret
from halfpoint.serve.certificates import local_certificate, local_names

NAMES = ('localhost', '127.0.0.1', '::1', 'mill.local')


def _make(folder, names=NAMES):
    return local_certificate(folder / 'tasting.toml', names)


@pytest.mark.parametrize('name', NAMES)
def test_browsers_that_trust_it_take_it_for_every_name(tmp_path, name) -> None:
    """A client that trusts the authority takes the certificate under each name and address."""
    # Checked by OpenSSL, through Python's own ssl.
    made = _make(tmp_path)
    assert _shake_hands(made.certificate, made.key, made.trust, name) in {'TLSv1.2', 'TLSv1.3'}


def _shake_hands(certificate, key, trust, name) -> str:
    """The version two ends agree on, one of which trusts `trust` alone."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(certificate, key)
    client = ssl.create_default_context(cafile=str(trust))
    ours, theirs = socket.socketpair()
    with ours, theirs:
        answering = threading.Thread(target=_answer, args=(server, theirs))
        answering.start()
        try:
            with client.wrap_socket(ours, server_hostname=name) as secure:
                return secure.version()
        finally:
            answering.join()


def _answer(server, connection):
    # Whoever does not trust it hangs up.
    with suppress(OSError), server.wrap_socket(connection, server_side=True) as secure:
        secure.recv(1)


def test_the_key_is_for_its_owner_alone(tmp_path) -> None:
    """Nobody else on the machine can read the key."""
    assert 0o600 == stat.S_IMODE(_make(tmp_path).key.stat().st_mode)


def test_it_is_made_once(tmp_path) -> None:
    """A second start uses the same certificate, so that nobody has to trust another."""
    first, second = _make(tmp_path), _make(tmp_path, NAMES[:2])
    assert (True, False) == (first.is_new, second.is_new)
    assert first.fingerprint == second.fingerprint


def test_the_fingerprint_is_what_browsers_show(tmp_path) -> None:
    """The digits shown are the SHA-256 of the certificate, which stands first in its file."""
    made = _make(tmp_path)
    end = '-----END CERTIFICATE-----'
    pem = made.certificate.read_text().partition(end)[0] + end
    digest = hashlib.sha256(ssl.PEM_cert_to_DER_cert(pem)).hexdigest().upper()
    assert digest == made.fingerprint.replace(':', '')


def test_a_new_address_gets_a_new_one(tmp_path) -> None:
    """When the machine has an address that is not in it, another is made."""
    first = _make(tmp_path)
    second = _make(tmp_path, (*NAMES, '192.0.2.7'))
    assert second.is_new
    assert first.fingerprint != second.fingerprint


def test_another_room_needs_no_new_trust(tmp_path) -> None:
    """With another private address the certificate is new, and what phones trust is not."""
    first = _make(tmp_path)
    trusted = first.trust.read_bytes()
    assert _make(tmp_path, (*NAMES, '192.168.7.20', 'fd00::7')).is_new
    assert trusted == first.trust.read_bytes()


def test_a_name_it_may_not_vouch_for_needs_new_trust(tmp_path) -> None:
    """A public address is beyond the old authority, so that another is made."""
    first = _make(tmp_path)
    trusted = first.trust.read_bytes()
    _make(tmp_path, (*NAMES, 'mill.example'))
    assert trusted != first.trust.read_bytes()


@pytest.mark.parametrize('name', ['bank.example', '192.0.2.7'])
def test_it_vouches_for_no_other_site(tmp_path, name) -> None:
    """What its key signs for a public site is refused, even where it is trusted."""
    # Checked by OpenSSL, by RFC 5280, section 4.2.1.10.
    made = _make(tmp_path)
    key = made.trust.with_suffix('.key.pem')
    stolen = Authority(
        x509.load_pem_x509_certificate(made.trust.read_bytes()),
        serialization.load_pem_private_key(key.read_bytes(), password=None),
    )
    secret = ec.generate_private_key(ec.SECP256R1())
    forged = certificates._sign(secret, (certificates._name(name),), stolen)
    file = tmp_path / 'forged.pem'
    write_secret(tmp_path / 'forged.key.pem', secret)
    file.write_bytes(forged.public_bytes(serialization.Encoding.PEM))
    with pytest.raises(ssl.SSLCertVerificationError, match='permitted subtree violation'):
        _shake_hands(file, tmp_path / 'forged.key.pem', made.trust, name)


def test_one_that_ends_soon_is_replaced(tmp_path, monkeypatch) -> None:
    """A week before it ends, another is made."""
    monkeypatch.setattr(certificates, 'LASTING', timedelta(days=7))
    first = _make(tmp_path)
    monkeypatch.undo()
    assert _make(tmp_path).fingerprint != first.fingerprint


@pytest.mark.parametrize('spoilt', ['tasting.cert.pem', 'tasting.key.pem'])
@pytest.mark.parametrize('content', [b'', b'no certificate', None])
def test_a_spoilt_one_is_replaced(tmp_path, spoilt, content) -> None:
    """A certificate or key that cannot be read, or is gone, is made anew."""
    first = _make(tmp_path)
    if content is None:
        (tmp_path / spoilt).unlink()
    else:
        (tmp_path / spoilt).write_bytes(content)
    second = _make(tmp_path)
    assert second.is_new
    assert first.fingerprint != second.fingerprint


def test_a_key_that_is_not_its_own_is_replaced(tmp_path) -> None:
    """A certificate beside the key of another is no use, and is made anew."""
    (tmp_path / 'other').mkdir()
    other = _make(tmp_path / 'other')
    first = _make(tmp_path)
    first.key.write_bytes(other.key.read_bytes())
    assert _make(tmp_path).is_new


def test_a_folder_that_is_not_there(tmp_path) -> None:
    """Where nothing can be written, that is said."""
    with pytest.raises(OutputError):
        _make(tmp_path / 'nowhere')


def test_this_machine_has_names() -> None:
    """The names of this machine hold those it always has, each once."""
    names = local_names('mill.example')
    assert {'localhost', '127.0.0.1', '::1', 'mill.example'} <= set(names)
    assert len(names) == len(set(names))
