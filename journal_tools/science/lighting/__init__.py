"""Light over a day."""
