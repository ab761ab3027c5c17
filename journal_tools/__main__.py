"""Lets ``python -m journal_tools`` stand for ``journal-tools``."""

from journal_tools.cli import main

# Worker processes load this module again under another name.
if __name__ == "__main__":
    main()
