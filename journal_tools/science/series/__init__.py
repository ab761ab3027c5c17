"""Series of readings: how steady, what stands out, where they go."""
