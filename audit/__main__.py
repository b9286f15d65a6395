"""Run the command line with `python -m audit`."""

from audit.cli.main import main

main()
