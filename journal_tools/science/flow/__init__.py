"""Pumps, pipes, overflows, and what runs down when they stop."""
