"""The handover, and the service visits of the years after it."""
