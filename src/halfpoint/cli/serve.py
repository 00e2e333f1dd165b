"""`halfpoint serve`: the taster's sheet, the host's page and the organiser's desk."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    pass


def command(
    tasting_file: Annotated[
        Path,
        typer.Argument(metavar="TASTING.toml", help="The tasting file; begun at the desk if new."),
    ] = Path("tasting.toml"),
    ledger: Annotated[
        str | None,
        typer.Option(
            metavar="URL",
            help="The record, in place of the file's own: a path, sqlite:///PATH, or postgresql://…",
        ),
    ] = None,
    host: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Where to listen; 0.0.0.0 lets phones in.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65535, help="The port to listen on.")] = 8420,
    tls: Annotated[
        bool, typer.Option("--tls", help="Encrypt, with a certificate made on this machine.")
    ] = False,
    behind_proxy: Annotated[
        bool,
        typer.Option("--behind-proxy", help="A web server on this machine passes requests on."),
    ] = False,
    new_password: Annotated[
        bool, typer.Option("--new-password", help="Make a new password for the desk, and end.")
    ] = False,
) -> None:
    """Serve a tasting to browsers: the sheet on phones, the host's page, the organiser's desk.

    At the first start it makes the organiser's password and shows it once.
    """
    from halfpoint.cli._parts import check_serving_parts

    check_serving_parts("halfpoint serve")
    from halfpoint.cli._serving import (
        make_certificate,
        refuse_unready,
        say_new_password,
        say_where,
        settings_for,
    )  # fmt: skip
    from halfpoint.serve.alone import alone
    from halfpoint.serve.run import check_port, run

    settings = settings_for(
        tasting_file, ledger=ledger, host=host, port=port, tls=tls, behind_proxy=behind_proxy
    )
    if new_password:
        say_new_password(settings, again=True)
        return
    with alone(settings.desk):
        refuse_unready(settings)
        check_port(settings)
        certificate = make_certificate(settings)
        say_new_password(settings, again=False)
        say_where(settings, certificate)
        run(settings, certificate)
    typer.echo("Stopped. Everything that was acknowledged is in the record.")
