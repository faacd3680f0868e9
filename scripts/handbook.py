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
    serve = commands.add_parser("serve", help="build the site and serve it on this machine")
    serve.add_argument("--port", type=int, default=8321, help="the port to serve on (8321)")
    commands.add_parser("build", help="build the site into site/")
    commands.add_parser("zip", help="build the site and pack it with a small server for a stick")
    test = commands.add_parser(
        "test", help="run every check; further words go to pytest, such as -k NAME"
    )
    test.add_argument("--no-browsers", action="store_true", help="leave the browsers out")
    test.add_argument(
        "--whole",
        action="store_true",
        help="have each browser do everything, which takes more than twice as long",
    )
    test.add_argument(
        "--browser",
        action="append",
        choices=("chromium", "firefox", "webkitgtk"),
        help="run the browser tests in this one only; may be given again",
    )
    fuzz = commands.add_parser("fuzz", help="meet every calculator with thousands of random sites")
    fuzz.add_argument("--runs", type=int, default=10_000, help="sites for each (10000)")
    fuzz.add_argument("calculator", nargs="?", default="", help="only this one")
    bench = commands.add_parser("bench", help="measure the budgets and print them as ratios")
    bench.add_argument("--quick", action="store_true", help="visit once instead of three times")
    bench.add_argument("--keep", action="store_true", help="put the figures into the book")
    pythons = commands.add_parser(
        "pythons", help="run the tests of the calculations on every supported Python there is"
    )
    pythons.add_argument(
        "--python", action="append", default=[], metavar="PATH", help="one more; may be given again"
    )
    pythons.add_argument(
        "--require",
        action="append",
        default=[],
        choices=("3.11", "3.12", "3.13", "3.14"),
        help="fail if there is none of this version; may be given again",
    )
    commands.add_parser("reproduce", help="build twice, unlike each other, and compare every byte")
    audit = commands.add_parser(
        "audit", help="look through locks, tools, licences, files, addresses and known faults"
    )
    audit.add_argument("--no-asking", action="store_true", help="leave out known faults")
    from handbook_tools import mutating

    mutating.add_words(
        commands.add_parser("mutate", help="change calc in small ways and ask which no test sees")
    )
    commands.add_parser("bake", help="make the tables of water and glycol again")
    commands.add_parser("setup", help="install everything the build and the tests need")
    commands.add_parser("lock", help="make requirements/*.txt and package-lock.json again")
    return parser


def _run(options, rest):
    from handbook_tools import (
        auditing,
        building,
        environment,
        pythons,
        reproducing,
        serving,
        stick,
        testing,
    )

    match options.command:
        case "serve":
            serving.serve(options.port)
        case "build":
            building.build()
        case "zip":
            stick.make()
        case "test":
            browsers = () if options.no_browsers else options.browser or testing.BROWSERS
            return testing.run_tests(browsers=browsers, words=rest, whole=options.whole)
        case "fuzz":
            return testing.fuzz(options.runs, options.calculator)
        case "pythons":
            return pythons.run(options.python, required=options.require, words=rest)
        case "bench":
            from handbook_tools.bench import command

            return command.bench(quick=options.quick, keep=options.keep)
        case "reproduce":
            return reproducing.reproduce()
        case "audit":
            return auditing.audit(ask=not options.no_asking)
        case "mutate":
            from handbook_tools import mutating

            return mutating.mutate(options)
        case "bake":
            environment.bake()
        case "setup":
            environment.ready(dev=True)
        case "lock":
            environment.lock()
    return 0


def main(words=None):
    """Run one command and return the exit code."""
    if sys.version_info < (3, 11):
        print(
            "The handbook needs Python 3.11 to 3.14: run the same command with a newer Python, "
            "such as `python3.12 scripts/handbook.py`.",
            file=sys.stderr,
        )
        return 2
    from handbook_tools.base import Problem

    parser = _parser()
    options, rest = parser.parse_known_args(words)
    if rest and options.command not in ("test", "pythons"):
        parser.error(f"unrecognized arguments: {' '.join(rest)}")
    try:
        return _run(options, rest)
    except Problem as problem:
        print(f"\n{problem}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.")
        return 130


if __name__ == "__main__":
    sys.exit(main())
