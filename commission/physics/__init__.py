"""Plain float-in, float-out functions in SI units, each with its source. Standard library only."""
