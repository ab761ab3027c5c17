"""The MkDocs adapter: hands the page tree to MkDocs, and nothing else.

Events used:

- ``on_startup``: remember whether this is ``serve``, where problems are shown on the pages.
- ``on_config``: find the journal; add style, script, theme overrides and the ``journal`` fence.
- ``on_files``: build the page tree, keep the journal's sources off the site, add the pages.
- ``on_page_markdown``, ``on_page_content``: put each page's own HTML in place, links resolved.
- ``on_post_page``: put its own elements into its head.
- ``on_post_build``: tidy the cache.
- ``on_serve``: watch the templates; ``docs_dir`` with the journal is watched by MkDocs already.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import Any, Literal

from jinja2 import TemplateError
from mkdocs.config import config_options as c
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin, get_plugin_logger
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import get_toc
from mkdocs.utils import get_relative_url

from journal_tools import cache as store
from journal_tools.cache import Cache
from journal_tools.embed import EmbedError, render_embed, with_own_ids
from journal_tools.journal import PROFILE_FILE, Journal, load_journal
from journal_tools.pages import SCRIPT_ASSET, STYLE_ASSET, build_tree
from journal_tools.pages.address import Address
from journal_tools.pages.feeds import with_entries
from journal_tools.pages.site import Site, gather_site
from journal_tools.pages.tree import Page as TreePage
from journal_tools.pages.tree import (
    PageTree,
    linked_paths,
    nested_headings,
    resolve_links,
)
from journal_tools.stage import page_source, source_path
from journal_tools.strays import is_source, reason_to_hide
from journal_tools.templates import shipped_folder, template_problem

log = get_plugin_logger(__name__)

_CACHE_DAYS = 120
_WIDE_PAGES = ("", "photos", "diary/index")


class JournalConfig(Config):  # type: ignore[no-untyped-call]
    """Settings under ``plugins: - journal_tools:`` in ``mkdocs.yml``."""

    templates = c.Type(str, default="site_templates")
    """Folder beside ``mkdocs.yml`` whose files replace shipped templates of the same name."""

    today = c.Optional(c.Type((str, dt.date)))
    """The day to reckon ages from, for a journal that has ended; the day of the build if unset."""

    cache_dir = c.Optional(c.Type(str))
    """Where prepared photos and charts are kept; the user's cache folder if unset."""


class JournalPlugin(BasePlugin[JournalConfig]):  # type: ignore[no-untyped-call]
    """Builds a journal's pages into a MkDocs site."""

    def __init__(self) -> None:
        self.serving = False
        self.own = Path()
        self.notice = ""
        self.address = Address()
        self.ids: set[str] = set()
        self.site: Site | None = None
        self.pages: dict[str, TreePage] = {}

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Remember the command, and live on from one rebuild to the next."""
        self.serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Add what the journal's pages need to the configuration."""
        if not (Path(config.docs_dir) / PROFILE_FILE).is_file():
            raise PluginError(
                f"There is no {PROFILE_FILE} in '{config.docs_dir}'. "
                "Start a journal with 'journal-tools new'."
            )
        self.own = Path(config.config_file_path).parent / self.config.templates
        self.address = Address.of(config.site_url, directory_urls=config.use_directory_urls)
        if config.theme.name == "material" and config.theme.get("font") is not False:
            log.warning(
                "Fonts would be fetched from another host: write 'font: false' under 'theme:' "
                "in mkdocs.yml."
            )
            config.theme["font"] = False
        config.extra_css.append(STYLE_ASSET)
        config.extra_javascript.append(SCRIPT_ASSET)
        fences = "pymdownx.superfences"
        if fences not in config.markdown_extensions:
            config.markdown_extensions.append(fences)
        settings = config.mdx_configs.setdefault(fences, {})
        custom = [
            fence for fence in settings.get("custom_fences", []) if fence["name"] != "journal"
        ]
        fence = {"name": "journal", "class": "journal", "format": self._fence}
        settings["custom_fences"] = [*custom, fence]
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Replace the journal's sources by its pages and files."""
        cache = self._cache()
        journal = load_journal(Path(config.docs_dir), self._today())
        self.site, tree = self._build(journal, cache)
        for problem in self.site.problems:
            log.warning(str(problem))
        for file in list(files):
            if is_source(file.src_uri) or self._is_private(file):
                files.remove(file)
        hand_written = [file.src_uri for file in files.documentation_pages()]
        added = _add(files, tree, config, cache)
        self.pages = {source_path(page.path): page for page in added}
        if config.nav is None:
            config.nav = _navigation(tree, hand_written)
        return files

    def on_page_markdown(
        self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files
    ) -> str:
        """Leave nothing for Markdown to do on the journal's own pages."""
        self.ids = set()
        if page.file.src_uri not in self.pages:
            return markdown
        own = self.pages[page.file.src_uri]
        page.meta["hide"] = ["navigation", *(["toc"] if own.path in _WIDE_PAGES else [])]
        # The theme prints these as they are, and they hold words of the keeper.
        page.meta["title"], page.meta["description"] = escape(own.title), escape(own.description)
        return ""

    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        """Put the page's own HTML in place and make its links relative."""
        own = self.pages.get(page.file.src_uri)
        if own is not None:
            html = own.html
            page.toc = get_toc(nested_headings(own))
        for path in linked_paths(html):
            if _target(files, path) is None:
                log.warning(f"{page.file.src_uri}: a link leads to '{path}', which is no page.")

        def relative(path: str) -> str:
            return _relative(files, path, page.url)

        if own is not None:
            page.meta["journal_head"] = resolve_links(own.head, relative)
            page.meta["search"] = {"exclude": "noindex" in own.head}
        return self.notice + resolve_links(html, relative)

    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Put feeds, words for previews and records into the head of the journal's own pages."""
        return output.replace("</head>", f"{page.meta.get('journal_head', '')}</head>", 1)

    def on_post_template(
        self, output_content: str, *, template_name: str, config: MkDocsConfig
    ) -> str:
        """Name the small pages of all entries in the sitemap."""
        if template_name == "sitemap.xml" and self.site is not None:
            return with_entries(output_content, self.site)
        return output_content

    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Drop from the cache what no build has used for months."""
        self._cache().prune(_CACHE_DAYS)

    def on_serve(
        self, server: LiveReloadServer, *, config: MkDocsConfig, builder: Any
    ) -> LiveReloadServer:
        """Rebuild when a template changes, too."""
        for folder in {shipped_folder(), self.own}:
            if folder.is_dir():
                server.watch(str(folder))
        return server

    def _build(self, journal: Journal, cache: Cache) -> tuple[Site, PageTree]:
        """Give the site and its pages; while serving, a broken template is a problem to show.

        An error would end ``serve``, or leave it stuck on the pages before.
        """
        try:
            return self._filled(gather_site(journal, cache, self.own, self.address), self.own)
        except TemplateError as error:
            problem = template_problem(error, self.own)
            if not self.serving:
                raise PluginError(str(problem)) from error
        site = gather_site(journal, cache, address=self.address)
        return self._filled(replace(site, problems=(problem, *site.problems)))

    def _filled(self, site: Site, own: Path | None = None) -> tuple[Site, PageTree]:
        """Fill every template that does not wait for a page written by hand."""
        tree = build_tree(site, own)
        self.notice = _problem_list(site) if self.serving else ""
        return site, tree

    def _is_private(self, file: File) -> bool:
        reason = reason_to_hide(Path(file.abs_src_path)) if file.abs_src_path else ""
        if reason:
            log.warning(f"{file.src_uri} is kept off the site: {reason}.")
        return bool(reason)

    def _cache(self) -> Cache:
        return Cache(Path(self.config.cache_dir)) if self.config.cache_dir else Cache.default()

    def _today(self) -> dt.date | None:
        written = self.config.today
        try:
            return dt.date.fromisoformat(str(written)) if written else None
        except ValueError as error:
            message = f"'today: {written}' in mkdocs.yml is no date; write it like 2026-03-14."
            raise PluginError(message) from error

    def _fence(
        self, source: str, language: str, class_name: str, options: Any, md: Any, **_: Any
    ) -> str:
        """Render one embed of a hand-written page, or say in its place what is wrong."""
        assert self.site is not None
        try:
            return with_own_ids(render_embed(self.site, source), self.ids)
        except (EmbedError, TemplateError) as error:
            # The extension would swallow it and show the block as if it were code.
            said = str(error)
            if isinstance(error, TemplateError):
                said = str(template_problem(error, self.own))
            log.warning(f"A journal block with '{' '.join(source.split())[:60]}': {said}")
            template = self.site.templates.get_template("parts/embed_error.html")
            return template.render(message=said)


def _problem_list(site: Site) -> str:
    """Give the list of problems for the keeper's own eyes."""
    template = site.templates.get_template("parts/problems.html")
    return template.render(problems=site.problems) if site.problems else ""


def _add(files: Files, tree: PageTree, config: MkDocsConfig, cache: Cache) -> list[TreePage]:
    """Add pages and assets as generated files that lie in the cache; give the pages added.

    A page goes there as staged Markdown, so that other plugins find a source file to read
    (``File.generated(content=…)`` has none). The name is the content's hash: two builds at once
    cannot disturb each other.
    """
    named = {source_path(path) for _, path in tree.navigation}
    added = []
    for page in tree.pages:
        source = source_path(page.path)
        text = page_source(page, page.html)
        kept = cache.put_text("pages", store.key(text), ".md", text)
        level = InclusionLevel.INCLUDED if source in named else InclusionLevel.NOT_IN_NAV
        file = File.generated(config, source, abs_src_path=str(kept), inclusion=level)
        if _append(files, file):
            added.append(page)
    for asset in tree.assets:
        given = asset.content
        if isinstance(given, Path):
            file = File.generated(config, asset.path, abs_src_path=str(given))
        else:
            file = File.generated(config, asset.path, content=given)
        _append(files, file)
    return added


def _append(files: Files, file: File) -> bool:
    """Add a file, unless the keeper wrote one of that name by hand: then theirs counts."""
    if files.get_file_from_path(file.src_uri) is not None:
        return False
    files.append(file)
    return True


def _navigation(tree: PageTree, hand_written: list[str]) -> list[Any]:
    """Give the journal's sections, then the other pages that were written by hand."""
    sections = {source_path(path): label for label, path in tree.navigation}
    others = sorted(path for path in hand_written if path not in sections)
    return [{label: path} for path, label in sections.items()] + others


def _target(files: Files, path: str) -> File | None:
    return files.get_file_from_path(path) or files.get_file_from_path(source_path(path))


def _relative(files: Files, path: str, here: str) -> str:
    """Give the link from a page's URL to a page or file of the site."""
    target = _target(files, path)
    return get_relative_url(target.url if target else path, here)
