"""The fill: what coolant went in, and what the total proves."""
