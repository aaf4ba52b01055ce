"""One JSON document on standard output: every command with --json prints through here."""

from __future__ import annotations

import json
from typing import Any

import click
import msgspec


def print_json(document: dict[str, Any] | list[dict[str, Any]]) -> None:
    """Print one document; a number that JSON does not have would be a fault of the program, never "NaN" in the text.

    It is laid out once it is text: `json` itself takes ten times as long over the document of a large shop.
    """
    click.echo(msgspec.json.format(json.dumps(document, allow_nan=False), indent=1))
