"""The first power-on: rung by rung, in a safe order."""
