"""Metric tables to charts: Altair specifications, static SVG, and words for those who listen."""
