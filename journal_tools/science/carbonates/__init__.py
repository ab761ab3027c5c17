"""The carbonate system: pH, carbon dioxide, saturation, and what moves them."""
