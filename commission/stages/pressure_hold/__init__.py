"""The pressure hold: proof that the empty loop is tight on air."""
