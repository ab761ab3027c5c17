"""Instruments: what they show, what is true, and how they drift."""
