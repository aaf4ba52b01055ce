"""What all help texts share: examples at the foot, and the nearest name where a command is mistyped."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

import click


def examples(*calls: str) -> str:
    """Return the foot of a help text: one example call a line, kept as they are."""
    return "\b\nExamples:\n" + "".join(f"  stackopt {call}\n" for call in calls)


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name that a mistyped one most likely means; None where none is near."""
    names = list(known)
    begun = [other for other in names if name and other.startswith(name.casefold())]
    close = begun or difflib.get_close_matches(name.casefold(), names, n=1)
    return close[0] if close else None


class HelpfulGroup(click.Group):
    """A group of commands that names the nearest command where one is mistyped."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that the first word names.

        Raises
        ------
        click.UsageError
            When there is none of that name; it names the nearest.
        """
        name = args[0]
        if self.get_command(ctx, name) is None and not name.startswith("-"):
            near = nearest(name, self.list_commands(ctx))
            hint = f" Did you mean {near!r}?" if near else f" The commands: {', '.join(self.list_commands(ctx))}."
            ctx.fail(f"There is no command {name!r}.{hint}")
        return super().resolve_command(ctx, args)
