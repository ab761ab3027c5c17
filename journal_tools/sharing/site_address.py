"""Where a journal's site will be published, read from its ``mkdocs.yml`` without running it."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote, urlsplit

import yaml

from journal_tools.logged import LoggedEntry
from journal_tools.pages.address import Address
from journal_tools.pages.site import month_path

_NO = ("false", "no", "off")


def site_address(settings: Path) -> Address:
    """Give what a ``mkdocs.yml`` says of its site's address; none if it says nothing usable.

    Only the text of two keys is looked at: tags, which may run code, are left alone.

    Args:
        settings: The file.
    """
    try:
        root = yaml.compose(settings.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    except (OSError, UnicodeDecodeError, yaml.YAMLError):
        return Address()
    pairs = root.value if isinstance(root, yaml.MappingNode) else []
    said = {k.value: node.value for k, node in pairs if isinstance(node, yaml.ScalarNode)}
    home = said.get("site_url", "").strip()
    parts = urlsplit(home)
    usable = parts.scheme in ("http", "https") and bool(parts.netloc)
    folders = said.get("use_directory_urls", "true").casefold() not in _NO
    return Address.of(home if usable else None, directory_urls=folders)


def entry_address(address: Address, entry: LoggedEntry) -> str:
    """Give the address of an entry, or an empty text where the site has none."""
    return f"{address.full(month_path(entry.day))}#{quote(entry.id)}" if address.root else ""
