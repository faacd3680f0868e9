"""The answer part of a calculator: results, checks, charts, working."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from view import maths
from view.charts import chart
from view.html import Html, h, html

_STATUS_WORDS = {"pass": "Good", "caution": "Take care", "fail": "Not acceptable"}
_STATUS_MARKS = {"pass": "✓", "caution": "!", "fail": "✕"}


def parts(answer: Mapping[str, Any]) -> dict[str, str]:
    """Return the HTML of each part of an answer, by the part's name."""
    return {
        "glance": html(glance(answer)),
        "results": html(results(answer)),
        "checks": html(checks(answer)) if answer["checks"] else "",
        "charts": html(*(chart(answer["id"], one) for one in answer["charts"])),
        "steps": html(steps(answer)) if answer["steps"] or answer.get("step_count") else "",
    }


def glance(answer: Mapping[str, Any]) -> Html:
    """Return the main results in one line, which stays in sight while the form is filled in.

    It repeats what stands below, so it is hidden from screen readers.
    """
    failed = sum(1 for c in answer["checks"] if c["status"] == "fail" and not c["own_words"])
    shown = [
        h("span", {"data-key": r["name"]}, f"{r['label']} ", h("b", None, r["text"]))
        for r in answer["results"]
        if r["headline"]
    ]
    if failed:
        text = "1 check not acceptable" if failed == 1 else f"{failed} checks not acceptable"
        shown.append(h("span", {"data-key": "failed", "class": "lc-glance-fail"}, f"✕ {text}"))
    return html(shown)


def results(answer: Mapping[str, Any]) -> Html:
    shown = sorted(answer["results"], key=lambda r: not r["headline"])
    return h("dl", {"class": "lc-results"}, [_result(r) for r in shown])


def _result(result: Mapping[str, Any]) -> Html:
    css = "lc-result lc-headline" if result["headline"] else "lc-result"
    value = result["value"] if isinstance(result["value"], str) else repr(result["value"])
    plus = result["plus_minus_text"]
    return h(
        "div",
        {"class": css, "data-key": result["name"]},
        h("dt", None, result["label"]),
        h(
            "dd",
            None,
            h(
                "output",
                {"name": result["name"], "data-value": value, "data-unit": result["unit"]},
                result["text"],
            ),
            h("span", {"class": "lc-plus"}, f" ± {plus}") if plus else None,
            h("span", {"class": "lc-note"}, result["help"]) if result["help"] else None,
        ),
    )


def checks(answer: Mapping[str, Any]) -> Html:
    """Return the checks, the worst first: what is not acceptable must not be missed."""
    order = ("fail", "caution", "pass")
    worst_first = sorted(answer["checks"], key=lambda c: order.index(c["status"]))
    return h("ul", {"class": "lc-checks"}, [_check(c) for c in worst_first])


def _check(check: Mapping[str, Any]) -> Html:
    status = check["status"]
    return h(
        "li",
        {"data-check": check["id"], "data-status": status, "data-key": check["id"]},
        h("span", {"class": "lc-mark", "aria-hidden": "true"}, _mark(check)),
        h(
            "div",
            None,
            h("strong", None, f"{check['label']}: "),
            None
            if check["own_words"]
            else [h("span", {"class": "lc-verdict"}, _STATUS_WORDS[status] + "."), " "],
            check["message"],
            " ",
            source(check["source"]),
        ),
    )


def _mark(check: Mapping[str, Any]) -> str:
    """Return the sign of a verdict; a cause that fits is not a cross but a mark to look at."""
    if check["own_words"] and check["status"] == "fail":
        return "!"
    return _STATUS_MARKS[check["status"]]


def source(found: Mapping[str, str]) -> Html:
    """Return a source with its status, as a reader sees it beside a check or a step."""
    return _source(found["key"], found["text"], found["status"])


@lru_cache(maxsize=512)
def _source(key: str, text: str, status: str) -> Html:
    named: list[str] = [text]
    if status != text.lower():
        named += [", ", h("span", {"class": "status"}, status)]
    return h("span", {"class": "lc-source", "data-source": key}, "(", named, ")")


def steps(answer: Mapping[str, Any]) -> Html:
    """Return the working, folded; of an answer without its working, only what stays in sight."""
    found = answer["steps"]
    return h(
        "details",
        {"class": "lc-steps", "data-key": "steps"},
        h("summary", None, f"Working, step by step ({len(found) or answer['step_count']})"),
        h("ol", None, [_step(step) for step in found]) if found else None,
    )


def _step(step: Mapping[str, Any]) -> Html:
    result = step["result"]["text"]
    if step["formula"]:
        values = {s["symbol"]: s["text"] for s in step["where"]}
        shown = [
            h("div", {"class": "lc-formula"}, maths.equation(step["symbol"], step["formula"])),
            h("div", {"class": "lc-formula"}, maths.substituted(step["formula"], values, result)),
        ]
    else:
        shown = [
            h(
                "p",
                {"class": "lc-words"},
                h("math", None, maths.symbol(step["symbol"])),
                " = ",
                h("span", {"class": "lc-step-result"}, result),
                ", ",
                step["words"],
            ),
        ]
    where = [
        h("li", None, h("math", None, maths.symbol(s["symbol"])), f" = {s['text']}, {s['label']}")
        for s in step["where"]
    ]
    return h(
        "li",
        None,
        h(
            "p",
            {"class": "lc-step-label"},
            h("strong", None, step["label"]),
            " ",
            source(step["source"]),
        ),
        shown,
        h("ul", {"class": "lc-where"}, where) if where else None,
    )


def summary(answer: Mapping[str, Any]) -> str:
    """Return one sentence for a screen reader: the main results and what failed."""
    main = [r for r in answer["results"] if r["headline"]] or answer["results"][:1]
    text = "; ".join(f"{r['label']} {r['text']}" for r in main)
    poor = [c["label"] for c in answer["checks"] if c["status"] == "fail" and not c["own_words"]]
    return f"{text}. Not acceptable: {', '.join(poor)}." if poor else f"{text}."
