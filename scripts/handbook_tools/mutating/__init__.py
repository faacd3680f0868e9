"""The command that changes `calc` in many small ways and asks which change no test sees."""

import os
import subprocess

from ..base import ROOT, locked
from ..environment import python, ready


def add_words(parser):
    """Teach a parser the words of this command."""
    parser.add_argument(
        "modules",
        nargs="*",
        help="such as calc/vessel or calc/calculators; all where none is named",
    )
    parser.add_argument("--share", type=float, help="how much of the changes; a fixed sample else")
    parser.add_argument("--seed", type=int, default=2026, help="which random sample (2026)")
    parser.add_argument("--minutes", type=float, default=600.0, help="when to stop (600)")
    parser.add_argument(
        "--budget", type=float, default=20.0, help="seconds of tests for one change (20)"
    )
    parser.add_argument(
        "--keep", action="store_true", help="keep the score that the page on checking shows"
    )


def mutate(options):
    """Run the mutants of some modules, or of all. Return the exit code."""
    ready(dev=True)
    words = [python(), "-m", "handbook_tools.mutating.command", *options.modules]
    words += ["--seed", options.seed, "--budget", options.budget, "--minutes", options.minutes]
    if options.share is not None:
        words += ["--share", options.share]
    if options.keep:
        words.append("--keep")
    env = {**os.environ, "PYTHONPATH": str(ROOT / "scripts")}
    with locked("mutation", "run of mutants"):
        return subprocess.run([str(word) for word in words], env=env, cwd=ROOT).returncode
