"""The thermal soak: where coolant and components settle under a steady load."""
