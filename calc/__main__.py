"""The calculators from a shell; a job's file, checked anew; problems, assignments and results."""

from __future__ import annotations

import argparse
import json
import os
import sys
from typing import Any

from calc import bridge, units
from calc.entries import as_typed
from calc.files.opened import file_text, not_there
from calc.training import shell as training


def main(arguments: list[str] | None = None) -> int:
    """Run one command.

    Returns 0; 2 for input that cannot be computed or read, or a file that is refused; 1 where a
    job's numbers do not come out as they were recorded.
    """
    parser = argparse.ArgumentParser(
        prog="python -m calc", description="The calculators of the handbook, from a shell."
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    commands = parser.add_subparsers(dest="command", required=True)
    json_flag = argparse.ArgumentParser(add_help=False)
    json_flag.add_argument(
        "--json", action="store_true", default=argparse.SUPPRESS, help="print JSON"
    )
    system_flag = argparse.ArgumentParser(add_help=False)
    system_flag.add_argument(
        "--system", choices=units.SYSTEMS, default="si", help="units of the answer"
    )
    commands.add_parser("list", parents=[json_flag], help="list the calculators")
    describe = commands.add_parser(
        "describe", parents=[json_flag, system_flag], help="say what one takes and gives"
    )
    describe.add_argument("id")
    run = commands.add_parser("run", parents=[json_flag, system_flag], help="run one")
    run.add_argument("id")
    run.add_argument("entries", nargs="*", metavar="name=value", help='such as height="31 ft"')
    job = commands.add_parser(
        "job", parents=[json_flag, system_flag], help="read a job's file, work it out again"
    )
    job.add_argument("file", metavar="FILE", help="such as larch-street.job.json; - for a pipe")
    job.add_argument(
        "--anyhow", action="store_true", help="read a file whose checksum does not fit"
    )
    training.add_commands(commands, json_flag, system_flag)
    given, rest = parser.parse_known_args(arguments)
    # Entries may stand before or after the options.
    if rest and (given.command != "run" or any(word.startswith("-") for word in rest)):
        parser.error(f"what is {' '.join(rest)}?")
    if rest:
        given.entries += rest

    if given.command == "list":
        rows = [{k: c[k] for k in ("id", "title", "summary")} for c in bridge.listing()]
        _print(rows, given.json, _list_text)
        return 0
    if given.command == "job":
        return _job(given.file, given.system, given.json, given.anyhow)
    if given.command in training.COMMANDS:
        found, as_text, errors = training.COMMANDS[given.command](given)
        if found is not None:
            _print(found, given.json, as_text)
        return _refuse(errors, given.json and found is None) if errors else 0
    try:
        chosen = bridge.calculator(given.id)
    except KeyError as unknown:
        return _refuse([{"field": "", "message": str(unknown.args[0])}], given.json)
    if given.command == "describe":
        _print(bridge.description(given.id, given.system), given.json, _description_text)
        return 0
    entries: dict[str, Any] = {}
    for word in given.entries:
        name, equals, value = word.partition("=")
        if not equals:
            message = f'“{word}” has no equals sign. Write name="value unit".'
            return _refuse([{"field": name, "message": message}], given.json)
        entries[name] = value
    answer = bridge.run(given.id, as_typed(chosen, entries), given.system)
    if "errors" in answer:
        return _refuse(answer["errors"], given.json)
    _print(answer, given.json, _answer_text)
    return 0


def _job(file: str, system: str, as_json: bool, anyhow: bool) -> int:
    """Print what a job's file holds, its kept results worked out again."""
    from calc import jobfile
    from calc.files.canon import FileRefusal
    from calc.job import book
    from calc.job.lines import report_text

    try:
        job, notes = jobfile.read(file_text(file, jobfile.KIND), anyhow)
        found = book(job, system) | {"notes": notes}
    except FileRefusal as refused:
        hint = " Add --anyhow to read it as it stands." if refused.mendable else ""
        return _refuse([{"field": "", "message": f"{refused.message}{hint}"}], as_json)
    except OSError as failed:
        return _refuse([{"field": "", "message": not_there(file, failed)}], as_json)
    _print(found, as_json, report_text)
    return 0 if found["same"] else 1


def _print(data: Any, as_json: bool, as_text: Any) -> None:
    print(
        json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False)
        if as_json
        else as_text(data)
    )


def _refuse(errors: list[dict[str, Any]], as_json: bool) -> int:
    if as_json:
        print(json.dumps({"errors": errors}, ensure_ascii=False, indent=1))
    else:
        for error in errors:
            field = f"{error['field']}: " if error["field"] else ""
            print(f"{field}{error['message']}", file=sys.stderr)
    return 2


def _list_text(rows: list[dict[str, str]]) -> str:
    width = max((len(row["id"]) for row in rows), default=0)
    return "\n".join(f"{row['id']:{width}}  {row['title']}. {row['summary']}" for row in rows)


def _description_text(found: dict[str, Any]) -> str:
    lines = [found["title"], found["summary"], "", "Takes:"]
    for entry in found["inputs"]:
        lines += _input_lines(entry, "  ")
    lines += ["", "Gives:"]
    lines += [f"  {o['name']}: {o['label']} ({o['kind']})" for o in found["outputs"]]
    return "\n".join(lines)


def _input_lines(entry: dict[str, Any], indent: str) -> list[str]:
    more = ""
    if "units" in entry:
        more = f" in {', '.join(u for u in entry['units'] if u)}"
    if "options" in entry:
        more = f" one of {', '.join(o['value'] for o in entry['options'])}"
    lines = [f"{indent}{entry['name']} ({entry['type']}{more}): {entry['label']}. {entry['help']}"]
    if "when" in entry:
        when = " and ".join(f"{k} is {' or '.join(v)}" for k, v in entry["when"].items())
        lines.append(f"{indent}  only when {when}")
    for column in entry.get("columns", ()):
        lines += _input_lines(column, indent + "    ")
    return lines


def _answer_text(found: dict[str, Any]) -> str:
    lines = [found["title"], ""]
    # What may stay empty, and did, was not used.
    assumed = [g for g in found["inputs"] if g["origin"] == "example" and g["text"]]
    if assumed:
        lines.append("Not given, so the example's values were used:")
        lines += [f"  {g['name']} = {g['text']}" for g in assumed]
        lines.append("")
    for result in found["results"]:
        band = f" ± {result['plus_minus_text']}" if result["plus_minus_text"] else ""
        lines.append(f"{result['label']}: {result['text']}{band}")
    for chart in found["charts"]:
        if chart["type"] == "table":
            lines += ["", *_table_lines(chart)]
    lines.append("")
    for check in found["checks"]:
        lines.append(f"[{check['status']}] {check['label']}: {check['message']} ({_source(check)})")
    lines += ["", "Working:"]
    for step in found["steps"]:
        lines.append(f"  {step['label']}: {step['symbol']} = {step['formula'] or step['words']}")
        for symbol in step["where"]:
            lines.append(f"      {symbol['symbol']} = {symbol['text']}  {symbol['label']}")
        lines.append(f"    = {step['result']['text']}  ({_source(step)})")
    return "\n".join(lines)


def _table_lines(table: dict[str, Any]) -> list[str]:
    """Return a table of results as lines: one thing after another, one property a line."""
    lines = [f"{table['title']}: {table['summary']}"]
    for row in table["rows"]:
        lines.append(f"  {row['label']}")
        for column, cell in zip(table["columns"], row["cells"], strict=True):
            unit = f" {column['unit']}" if column["unit"] and cell["value"] is not None else ""
            lines.append(f"    {column['label']}: {cell['text']}{unit}")
    return lines


def _source(item: dict[str, Any]) -> str:
    return f"{item['source']['text']}; {item['source']['status']}"


def _run_in_a_pipe() -> int:
    """Run; where the reader of a pipe has gone away (``| head``), stop without complaint."""
    try:
        code = main()
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


if __name__ == "__main__":
    sys.exit(_run_in_a_pipe())
