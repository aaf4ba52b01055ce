"""Guide: the guide's topics, as they ship with the program."""

from __future__ import annotations

from flask import Blueprint, abort, render_template
from markdown_it import MarkdownIt
from markupsafe import Markup

from stackopt.guide import TOPICS, topic_text, topic_title

blueprint = Blueprint("guide", __name__)


@blueprint.get("/guide")
def guide() -> str:
    """Show the topics."""
    return render_template("guide.html", topics=[(topic, topic_title(topic)) for topic in TOPICS])


@blueprint.get("/guide/<topic>")
def topic(topic: str) -> str:
    """Show one topic."""
    if topic not in TOPICS:
        abort(404)
    # HTML in the text is shown as it is written, never taken as HTML.
    rendered = MarkdownIt("commonmark", {"html": False}).enable("table").render(topic_text(topic))
    # What is wider than the page is scrolled by keyboard as well.
    rendered = rendered.replace("<pre>", '<pre tabindex="0">').replace("<table>", '<table tabindex="0">')
    return render_template("topic.html", title=topic_title(topic), text=Markup(rendered))
