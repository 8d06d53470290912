"""A verdict's word in letters three rows high, drawn from half blocks; the shapes are our own."""

ROWS = 3
"""Rows of a drawn word."""

_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}

_SHAPES = {
    "A": (".##.", "#..#", "####", "#..#", "#..#"),
    "B": ("###.", "#..#", "###.", "#..#", "###."),
    "C": (".###", "#...", "#...", "#...", ".###"),
    "D": ("###.", "#..#", "#..#", "#..#", "###."),
    "E": ("####", "#...", "###.", "#...", "####"),
    "F": ("####", "#...", "###.", "#...", "#..."),
    "G": (".###", "#...", "#.##", "#..#", ".###"),
    "H": ("#..#", "#..#", "####", "#..#", "#..#"),
    "I": ("#", "#", "#", "#", "#"),
    "J": ("..##", "...#", "...#", "#..#", ".##."),
    "K": ("#..#", "#.#.", "##..", "#.#.", "#..#"),
    "L": ("#...", "#...", "#...", "#...", "####"),
    "M": ("#...#", "##.##", "#.#.#", "#...#", "#...#"),
    "N": ("#...#", "##..#", "#.#.#", "#..##", "#...#"),
    "O": (".##.", "#..#", "#..#", "#..#", ".##."),
    "P": ("###.", "#..#", "###.", "#...", "#..."),
    "Q": (".##.", "#..#", "#..#", "#.#.", ".#.#"),
    "R": ("###.", "#..#", "###.", "#.#.", "#..#"),
    "S": (".###", "#...", ".##.", "...#", "###."),
    "T": ("#####", "..#..", "..#..", "..#..", "..#.."),
    "U": ("#..#", "#..#", "#..#", "#..#", ".##."),
    "V": ("#...#", "#...#", ".#.#.", ".#.#.", "..#.."),
    "W": ("#...#", "#...#", "#.#.#", "#.#.#", ".#.#."),
    "X": ("#...#", ".#.#.", "..#..", ".#.#.", "#...#"),
    "Y": ("#...#", ".#.#.", "..#..", "..#..", "..#.."),
    "Z": ("####", "...#", ".##.", "#...", "####"),
    " ": ("..", "..", "..", "..", ".."),
    "-": ("...", "...", "###", "...", "..."),
}


def big_word(word: str, width: int) -> tuple[str, ...]:
    """Return the word in three lines of at most `width` cells, twice as wide where that fits; empty where it cannot be.

    >>> for line in big_word("fail", 20):
    ...     print(line.rstrip())
    █▀▀▀  ▄▀▀▄  █  █
    █▀▀   █▀▀█  █  █
    ▀     ▀  ▀  ▀  ▀▀▀▀
    """
    shapes = [_SHAPES[letter] for letter in word.upper() if letter in _SHAPES]
    if not word or len(shapes) < len(word):
        return ()
    for wide, gap in ((2, 2), (1, 2), (1, 1)):
        dots = [("." * gap).join("".join(dot * wide for dot in shape[y]) for shape in shapes) for y in range(5)]
        if len(dots[0]) <= width:
            dots.append("." * len(dots[0]))
            return tuple(_joined(dots[2 * row], dots[2 * row + 1]) for row in range(ROWS))
    return ()


def _joined(upper: str, lower: str) -> str:
    """Return two rows of dots as one row of half blocks."""
    return "".join(_HALVES[above == "#", below == "#"] for above, below in zip(upper, lower, strict=True))
