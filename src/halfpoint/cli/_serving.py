"""What `halfpoint serve` makes ready, and what it says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from halfpoint.serve.certificates import LocalCertificate
    from halfpoint.serve.settings import Settings


def settings_for(
    tasting_file: Path, *, ledger: str | None, host: str, port: int, tls: bool, behind_proxy: bool
) -> Settings:
    """The options as settings.

    Raises:
        UsageError: the file is no tasting file by its name, its folder is not there, or the
            record is neither a file nor in PostgreSQL.
    """
    from halfpoint.errors import UsageError
    from halfpoint.serve.settings import Settings
    from halfpoint.tasting.record_place import record_place

    path = tasting_file.absolute()
    if path.suffix != '.toml' or path.is_dir():
        raise UsageError(
            f"{tasting_file}", where="TASTING.toml", expected="a file whose name ends in .toml"
        )
    if not path.parent.is_dir():
        raise UsageError(
            f"the folder {tasting_file.parent} does not exist",
            where="TASTING.toml",
            remedy="make it first",
        )
    record = None if ledger is None else record_place(ledger)
    if isinstance(record, Path):
        record = record.absolute()
    return Settings(
        tasting=path, ledger=record, host=host, port=port, tls=tls, behind_proxy=behind_proxy
    )


def refuse_unready(settings: Settings) -> None:
    """Refuse now what would fail at the first request.

    Raises:
        TastingFileError, LedgerError, OutputError: the tasting or its record cannot be opened.
    """
    from halfpoint.serve.house import find_tasting
    from halfpoint.serve.served import open_ledger

    tasting = find_tasting(settings)
    if tasting is not None:
        open_ledger(tasting).close()


def make_certificate(settings: Settings) -> LocalCertificate | None:
    """The certificate for `--tls`.

    Raises:
        OutputError: it could not be written.
    """
    if not settings.tls:
        return None
    from halfpoint.serve.addresses import EVERYWHERE
    from halfpoint.serve.certificates import local_certificate, local_names

    own = () if settings.host in EVERYWHERE else (settings.host,)
    return local_certificate(settings.tasting, local_names(*own))


def say_new_password(settings: Settings, *, again: bool) -> None:
    """Make a password for the desk when there is none, or another, and show it."""
    from halfpoint.serve.desk_store import DeskStore
    from halfpoint.serve.guard.passwords import new_password, set_password

    with DeskStore(settings.desk) as desk:
        if desk.kept('password') is not None and not again:
            return
        password = new_password()
        set_password(desk, password)
    typer.echo(f"The organiser's password, shown this once: {password}")
    typer.echo("Write it down. halfpoint serve --new-password makes another.")
    if again:
        typer.echo("The old one opens nothing any more, and every desk has to log in again.")


def say_where(settings: Settings, certificate: LocalCertificate | None) -> None:
    """Say the addresses, and what is missing without encryption."""
    from halfpoint.serve.addresses import OWN_MACHINE, base_urls
    from halfpoint.serve.static import BuiltApp

    here, *others = base_urls(settings)
    typer.echo(f"Desk       {here}/desk")
    for other in others or (here,):
        typer.echo(f"Tasters    {other}/join")
    if settings.host in OWN_MACHINE:
        typer.echo("Only this machine can open these. --host 0.0.0.0 lets the phones of a room in.")
    if certificate is not None:
        _say_certificate(certificate, (others or [here])[0])
    elif settings.host not in OWN_MACHINE and not settings.behind_proxy:
        typer.echo(
            "Without --tls anybody in the network can read along, and phones neither keep the\n"
            "sheet when the page is closed without signal nor install it. Marks are still kept\n"
            "on the phone at each tap, and sent."
        )
    if not BuiltApp(settings.app).is_built:
        typer.echo("The browser pages are not built in this copy: python tools/build_app.py")
    typer.echo("Stop with Ctrl-C.")


def _say_certificate(certificate: LocalCertificate, where: str) -> None:
    typer.echo(f"Certificate {certificate.certificate.name}, made on this machine, SHA-256")
    typer.echo(f"  {certificate.fingerprint}")
    typer.echo(
        "Browsers ask once whether to trust it; compare these digits when in doubt.\n"
        f"Phones that shall keep or install the sheet trust this machine first: {where}/trust"
    )
