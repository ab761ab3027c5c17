"""Vessels and what carries them: volumes, glass, loads."""
