"""The guide: one text a topic, for the terminal and for the page.

Takes the name of a topic, gives its text as Markdown; the texts ship inside the package.
Examples in them are run and compared by `tests/cli/test_readme.py`.
"""

from __future__ import annotations

from importlib.resources import files

# In the order in which a newcomer needs them.
TOPICS = (
    "books",
    "check",
    "engine-files",
    "template",
    "fit",
    "plan",
    "restock",
    "range",
    "outlook-files",
    "shop",
    "serve",
    "card",
    "numbers",
    "python",
)


def topic_text(topic: str) -> str:
    """Return the text of a topic, as Markdown.

    Raises
    ------
    KeyError
        When `TOPICS` has no such topic.
    """
    if topic not in TOPICS:
        raise KeyError(topic)
    return files(__package__).joinpath(f"{topic}.md").read_text(encoding="utf-8")


def topic_title(topic: str) -> str:
    """Return the heading of a topic, without marks."""
    return topic_text(topic).partition("\n")[0].lstrip("# ").replace("`", "")
