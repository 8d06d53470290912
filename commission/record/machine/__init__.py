"""What every stage may ask of the machine: its parts, volume, instruments and ratings."""
