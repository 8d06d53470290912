"""The way in: ``python -m commission`` and the ``commission`` command."""

import sys


def main() -> None:
    """Answer ``--version`` before anything is imported; hand everything else to the command line."""
    if sys.argv[1:] == ["--version"]:
        from commission import __version__

        sys.stdout.write(f"commission {__version__}\n")
        return
    from commission.cli import run

    run()


if __name__ == "__main__":
    main()
