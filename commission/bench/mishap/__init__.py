"""It went wrong: words that open a card from anywhere, what the cards say, and what is asked and written down."""
