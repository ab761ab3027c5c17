"""A reef tank journal that publishes itself."""

__version__ = "0.1.0"
