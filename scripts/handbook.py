#!/usr/bin/env python3
"""Build, serve, test and measure The Cold Fill Handbook.

    python3 scripts/handbook.py serve     build the site and serve it on this machine
    python3 scripts/handbook.py test      run every check

Needs Python 3.11 to 3.14 and, the first time, a network. Everything else it installs by itself
into .handbook/ and node_modules/, at the versions pinned in requirements/ and package-lock.json.
"""

import argparse
import sys


def _parser():
    parser = argparse.ArgumentParser(
        prog="handbook.py", description="Build, serve, test and measure The Cold Fill Handbook."
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    commands.add_parser("build", help="build the site into site/")
    commands.add_parser("setup", help="install everything the build and the tests need")
    commands.add_parser("lock", help="make requirements/*.txt and package-lock.json again")
    return parser


def main(words=None):
    """Run one command and return the exit code."""
    if sys.version_info < (3, 11):
        print(
            "The handbook needs Python 3.11 to 3.14: run the same command with a newer Python, "
            "such as `python3.12 scripts/handbook.py`.",
            file=sys.stderr,
        )
        return 2
    from handbook_tools import environment
    from handbook_tools.base import Problem

    options, rest = _parser().parse_known_args(words)
    try:
        if options.command == "build":
            from handbook_tools import building

            building.build()
        elif options.command == "setup":
            environment.ready(dev=True)
        elif options.command == "lock":
            environment.lock()
    except Problem as problem:
        print(f"\n{problem}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.")
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main())
