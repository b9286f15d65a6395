"""The program: `asfound`, or `python -m audit`."""

import os
import sys

from audit import __version__


def main() -> None:
    """Answer --version at once, and leave all else to the command line, which imports much more."""
    if sys.argv[1:] == ["--version"]:
        try:
            os.write(1, f"asfound {__version__}\n".encode())
        except OSError:
            sys.exit(2)
        return
    try:
        from audit.cli.main import main as command_line

        command_line()
    except KeyboardInterrupt:  # while it is still loading; later, the commands say what became of their work
        sys.stderr.write("\ninterrupted; nothing was decided\n")
        sys.exit(130)


if __name__ == "__main__":
    main()
