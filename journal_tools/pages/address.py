"""Where a site will stand: what turns a place on the site into an address for others."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Address:
    """The address of a site, as far as it is known.

    Attributes:
        root: Address of the first page with a slash at its end, or ``""`` if nobody told.
        directory_urls: Whether ``water`` is published as ``water/`` and not as ``water.html``.
    """

    root: str = ""
    directory_urls: bool = True

    @classmethod
    def of(cls, site_url: str | None, *, directory_urls: bool = True) -> Address:
        """Give the address that a site's settings state.

        >>> Address.of("https://example.org/reef").root
        'https://example.org/reef/'
        """
        root = (site_url or "").strip()
        return cls(f"{root.rstrip('/')}/" if root else "", directory_urls)

    def place(self, path: str) -> str:
        """Give a page's or file's place below the root, as a browser asks for it.

        Args:
            path: As in a ``site:`` link; a page has no dot in its last part, a file has one.

        >>> Address().place("diary/2026-03"), Address().place("e/2026-03-14/index.html")
        ('diary/2026-03/', 'e/2026-03-14/')
        >>> Address(directory_urls=False).place("diary/index")
        'diary/index.html'
        """
        folder, _, last = path.rpartition("/")
        if "." not in last and self.directory_urls:
            inside = folder if last == "index" else path
            return f"{inside}/" if inside else ""
        if "." not in last:
            return f"{path or 'index'}.html"
        return path.removesuffix("index.html") if self.directory_urls else path

    def full(self, path: str) -> str:
        """Give the whole address of a page or file, or one below the root if nobody told it.

        >>> Address.of("https://example.org").full("feed.xml")
        'https://example.org/feed.xml'
        """
        return f"{self.root}{self.place(path)}"

    def from_below(self, path: str, depth: int) -> str:
        """Give the relative link to a page or file from a file some folders below the root.

        Args:
            path: As in a ``site:`` link.
            depth: Number of folders, 0 or more.

        >>> Address().from_below("diary/2026-03", 2), Address().from_below("", 0)
        ('../../diary/2026-03/', './')
        """
        return f"{'../' * depth}{self.place(path)}" or "./"


NOWHERE = Address()
"""A site whose address nobody told."""
