"""``commission web``: the screens in a browser on the same computer."""
