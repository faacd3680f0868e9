"""Count what was seen, hold the rest against the explained list, and print the table."""

import json
import math
import tomllib

from ..base import HOME, ROOT
from .changes import mutants_of
from .choosing import package_of

EXPLAINED = ROOT / "tests" / "mutation" / "explained.toml"
OUT = HOME / "mutation" / "score.json"
KEPT = ROOT / "tests" / "mutation" / "score.json"
KINDS = ("test", "error", "timeout")


def explained():
    """Return the kept changes that no test can see, by key, each with its reason."""
    if not EXPLAINED.exists():
        return {}
    rows = tomllib.loads(EXPLAINED.read_text(encoding="utf-8")).get("change", [])
    return {
        (r["path"], r["scope"], r["before"], r["after"], r.get("number", 1)): r["why"] for r in rows
    }


def wilson(part, whole):
    """Return the bounds between which a share lies, with 95 % of certainty.

    Examples
    --------
    >>> [round(bound, 3) for bound in wilson(95, 100)]
    [0.888, 0.978]
    """
    if not whole:
        return 0.0, 1.0
    z = 1.959964
    share = part / whole
    middle = share + z * z / (2 * whole)
    reach = z * math.sqrt(share * (1 - share) / whole + z * z / (4 * whole * whole))
    return tuple((middle + sign * reach) / (1 + z * z / whole) for sign in (-1, 1))


def counted(mutants, told, reasons):
    """Return the counts of a package and its survivors."""
    row = dict.fromkeys((*KINDS, "explained", "survived", "untried"), 0)
    survivors = []
    for mutant in mutants:
        line = told.get(mutant.key)
        if line is None or "outcome" not in line:
            row["untried"] += 1
        elif line["outcome"] in KINDS:
            row[line["outcome"]] += 1
        elif mutant.key in reasons:
            row["explained"] += 1
        else:
            row["survived"] += 1
            survivors.append({**mutant.plain(), "ran": line.get("ran"), "of": line.get("of")})
    row["tried"] = len(mutants) - row["untried"]
    row["killed"] = sum(row[kind] for kind in KINDS)
    judged = row["tried"] - row["explained"]
    row["score"] = row["killed"] / judged if judged else None
    row["between"] = [round(bound, 4) for bound in wilson(row["killed"], judged)]
    return row, survivors


def stale(reasons, told, root):
    """Return sentences on kept explanations that no longer hold."""
    found, texts = [], {}
    for key in reasons:
        path = root / key[0]
        if key[0] not in texts:
            source = path.read_text(encoding="utf-8") if path.exists() else ""
            texts[key[0]] = {m.key for m in mutants_of(key[0], source)[0]}
        place = f"{key[0]} {key[1]}: {key[2]} → {key[3]}"
        if key not in texts[key[0]]:
            found.append(f"No such change any more: {place}. Take it off the list.")
        elif told.get(key, {}).get("outcome") in KINDS:
            found.append(f"A test sees it now: {place}. Take it off the list.")
    return found


def _print(packages, survivors, old):
    print(
        f"\n{'package':34} {'all':>6} {'tried':>6} {'test':>5} {'error':>5} {'time':>5} "
        f"{'expl.':>5} {'left':>5}  killed"
    )
    for package, row in packages.items():
        low, high = row["between"]
        score = "-" if row["score"] is None else f"{row['score']:.1%} ({low:.1%} to {high:.1%})"
        print(
            f"{package:34} {row['all']:6} {row['tried']:6} {row['test']:5} {row['error']:5} "
            f"{row['timeout']:5} {row['explained']:5} {row['survived']:5}  {score}"
        )
    for one in survivors:
        place = f"{one['path']}:{one['line']} {one['scope']}"
        print(f"\n{place}\n  - {one['before']}\n  + {one['after']}")
    for sentence in old:
        print(f"\n{sentence}")


def report(chosen, totals, words, told, options):
    """Print the table, write it as JSON. Return 1 when something survived or a reason is stale."""
    reasons = explained()
    packages, survivors = {}, []
    for package, count in totals.items():
        mine = [mutant for mutant in chosen if package_of(mutant.path) == package]
        row, left = counted(mine, told, reasons)
        packages[package] = {"all": count, "texts": words[package], **row}
        survivors += left
    old = stale(reasons, told, ROOT)
    _print(packages, survivors, old)
    found = {"seed": options.seed, "budget": options.budget, "packages": packages}
    for path, extra in ((OUT, {"survivors": survivors}), *([(KEPT, {})] if options.keep else [])):
        text = json.dumps({**found, **extra}, indent=1, ensure_ascii=False)
        path.write_text(f"{text}\n", encoding="utf-8")
    left = sum(row["untried"] for row in packages.values())
    if left:
        print(f"\n{left} changes of the sample were not reached.")
    return int(bool(survivors or old))
