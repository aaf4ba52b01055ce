"""``stackopt guide``: the guide that ships with the program, topic by topic."""

from __future__ import annotations

import sys

import click

from stackopt.cli.helping import examples, nearest
from stackopt.guide import TOPICS, topic_text, topic_title

EXAMPLES = examples("guide", "guide engine-files", "guide plan")


def _known(_context: click.Context, _argument: click.Parameter, topic: str | None) -> str | None:
    if topic is None or topic in TOPICS:
        return topic
    near = nearest(topic, TOPICS)
    hint = f" Did you mean {near!r}?" if near else ""
    raise click.BadParameter(f"there is no topic {topic!r}.{hint} The topics: {', '.join(TOPICS)}.")


@click.command(epilog=EXAMPLES)
@click.argument("topic", required=False, callback=_known)
def guide(topic: str | None) -> None:
    """Print the guide: all topics, or the text of one TOPIC."""
    if topic is None:
        width = max(map(len, TOPICS))
        click.echo("Topics of the guide; read one with: stackopt guide TOPIC\n")
        for name in TOPICS:
            click.echo(f"  {name:<{width}}  {topic_title(name)}")
        return
    if not sys.stdout.isatty():
        click.echo(topic_text(topic), nl=False)
        return
    # rich takes longer to import than the rest of this command; only a terminal needs it.
    from stackopt.report.reading import markdown_page  # noqa: PLC0415

    click.echo_via_pager(markdown_page(topic_text(topic)))
