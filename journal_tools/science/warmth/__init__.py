"""Heat, evaporation and electricity."""
