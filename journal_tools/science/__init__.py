"""Pure functions on numbers and arrays in stated units: one module for each subject."""
