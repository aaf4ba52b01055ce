"""``stackopt serve``: the page, for a browser on this machine or in the shop."""

from __future__ import annotations

import os

import click

from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import ledger_option, who_option
from stackopt.web.gate.settings import read_settings, settings_file

DEFAULT_PORT = 8095


@click.command(epilog=examples("serve", "serve --ledger shop.db --port 8100", "serve --host 0.0.0.0"))
@ledger_option
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen on; 0.0.0.0: all of them.")
@click.option(
    "--port", type=click.IntRange(0, 65535), default=DEFAULT_PORT, show_default=True, help="0: any that is free."
)
@click.option("--new-passphrase", is_flag=True, help="Ask for another passphrase.")
@who_option
def serve(ledger: str, host: str, port: int, *, new_passphrase: bool, who: str) -> None:
    """Show the shop in a browser: board, bench, shelf, orders, guide.

    It listens on this machine alone; with --host it is open to the shop's network, and asks for a passphrase, which is
    set at the first start (or taken from STACKOPT_PASSPHRASE). Ctrl-C ends it.
    """
    # A web server takes long to import, and only this command needs one.
    from stackopt.web.gate.guard import is_loopback  # noqa: PLC0415
    from stackopt.web.serving import keep_passphrase  # noqa: PLC0415
    from stackopt.web.serving import serve as run  # noqa: PLC0415

    given = os.environ.get("STACKOPT_PASSPHRASE", "")
    if not is_loopback(host) and (new_passphrase or given or not read_settings(settings_file(ledger)).passphrase_hash):
        asked = given or click.prompt("Passphrase for the page", hide_input=True, confirmation_prompt=True)
        keep_passphrase(ledger, asked)
    run(ledger, who, host, port, lambda address: click.echo(f"The shop's page: {address}  (Ctrl-C ends it)"))
