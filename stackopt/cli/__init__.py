"""The command line: each command reads, calls one function, prints.

Commands live one module a group and are imported only when called, so that each starts as fast as it can.
Exit codes: 0 solved; 1 solved, and at least one engine is blocked; 2 the input or the call is wrong.
"""

from __future__ import annotations

import importlib

import click

from stackopt.problems import InputError

# Command name -> module and the click command in it; the order is the order of `stackopt --help`.
COMMANDS: dict[str, tuple[str, str]] = {
    "check": ("stackopt.cli.books", "check"),
}

INPUT_IS_WRONG = 2


class Commands(click.Group):
    """Imports the module of a command only when that command is asked for, and prints what is wrong in the input."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command; None when there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute = COMMANDS[cmd_name]
        command: click.Command = getattr(importlib.import_module(module), attribute)
        return command

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; a wrong input is printed, one problem a line, and ends with exit code 2."""
        try:
            return super().invoke(ctx)
        except InputError as error:
            for problem in error.problems:
                click.echo(str(problem), err=True)
            raise SystemExit(INPUT_IS_WRONG) from None


@click.group(cls=Commands)
@click.version_option(package_name="stackopt")
def main() -> None:
    """Choose base and head gaskets for twin-cylinder engines from the shelf and the suppliers' lists."""
