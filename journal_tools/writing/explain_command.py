"""What ``journal-tools explain`` does: a key of the journal's files in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from textwrap import indent

import typer

from journal_tools.keys import FILES, Key, all_keys, find_keys
from journal_tools.writing.asking import say


def explain_key(written: str, *, every: bool, markdown: bool) -> int:
    """Explain a key, or all; give the exit code: 2 if there is no such key.

    Args:
        written: The key, such as ``equipment.plumbing``; empty for a list of those at the top.
        every: Explain all of them.
        markdown: As Markdown.
    """
    found = list(all_keys()) if every else find_keys(written) if written else []
    if written and not found:
        say([f"There is no key '{written}'.{_nearest(written)}"])
        return 2
    if not found:
        typer.echo("\n".join(_contents()))
        return 0
    texts = map(markdown_of, found) if markdown else map(text_of, found)
    if markdown and every:
        typer.echo(reference(), nl=False)
    else:
        typer.echo("\n".join(texts), nl=False)
    return 0


def _nearest(written: str) -> str:
    paths = {key.path.casefold(): key.path for key in all_keys()}
    names = {key.name.casefold(): key.path for key in reversed(all_keys())}
    wanted = written.strip().casefold().replace("-", "_")
    near = get_close_matches(wanted, [*paths, *names], 1, cutoff=0.6)
    meant = (paths | names)[near[0]] if near else ""
    return f" Did you mean '{meant}'?" if meant else " For a list: journal-tools explain"


def _contents() -> Iterator[str]:
    for file in FILES:
        yield f"Keys of {file}:"
        tops = [key for key in all_keys() if key.file == file and "." not in key.path]
        width = max(len(key.path) for key in tops)
        yield from (f"  {key.path:<{width}}  {key.meaning}" for key in tops)
        yield ""
    yield "More of one of them: journal-tools explain equipment.plumbing"


def text_of(key: Key) -> str:
    """Give a key as lines for a terminal."""
    lines = [f"{key.path} (in {key.file})", f"  {key.meaning}"]
    lines += [f"  {label}: {words}" for label, words in facts_of(key)]
    return "\n".join([*lines, "  Example:", indent(key.example, "    ")])


def facts_of(key: Key) -> list[tuple[str, str]]:
    """Give what is to be known of a key besides its meaning, as label and words."""
    facts = [("Write", key.kind)]
    if key.keys:
        facts.append(("Keys inside", ", ".join(key.keys)))
    if key.words:
        facts.append(("Words", ", ".join(key.words)))
    if key.units:
        facts.append(("Units", ", ".join(key.units)))
    if key.needed:
        facts.append(("Needed", "yes"))
    if key.default:
        facts.append(("If left out", key.default))
    return facts


def markdown_of(key: Key) -> str:
    """Give a key as a section of Markdown."""
    depth = "#" * min(6, 3 + key.path.count("."))
    facts = "\n".join(f"- {label}: {words}" for label, words in facts_of(key))
    return f"{depth} `{key.path}`\n\n{key.meaning}\n\n{facts}\n\n```yaml\n{key.example}```\n"


def reference() -> str:
    """Give every key of both files as a page of Markdown."""
    parts = ["# Every key\n\nMade from the program itself by `journal-tools explain --all "
             "--markdown`. `PARAMETER` stands for the name of any parameter.\n"]  # fmt: skip
    for file in FILES:
        parts.append(f"## Keys of {file}\n")
        parts += [markdown_of(key) for key in all_keys() if key.file == file]
    return "\n".join(parts)
