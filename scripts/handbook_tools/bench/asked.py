"""What the measurements ask: each calculator's example, as a page sends it while somebody types.

    python -m handbook_tools.bench.asked ROUNDS

Times every calculator natively and prints one line of JSON: {"native_ms": {calculator: ms},
"requests": {calculator: [request, ...]}}. Every round asks for another number, as a reader does:
an answer that is kept from the round before would be told too quickly.
"""

import json
import statistics
import sys
import time

from calc import bridge
from calc.calculators import CALCULATORS
from calc.entries import default_entries

STEP = 0.0007


def _moved(inputs, field, turn):
    """Return the inputs with one number a little larger."""
    value = float(inputs[field]["value"]) * (1 + STEP * turn)
    return inputs | {field: inputs[field] | {"value": f"{value:.6g}"}}


def _results(name, inputs):
    return [result["value"] for result in bridge.run(name, inputs).get("results", [])]


def _telling(name, inputs):
    """Return the first number of the form on which an answer depends."""
    before = _results(name, inputs)
    for field, entry in inputs.items():
        if not isinstance(entry, dict) or not entry.get("value"):
            continue
        found = _results(name, _moved(inputs, field, 1))
        if found and found != before:
            return field
    raise RuntimeError(f"{name}: no number of the form changes the answer")


def requests(rounds, *, working=False):
    """Return {calculator: requests}: the example first, then `rounds` with one number moved on.

    The working is folded, so a page asks for it once the reader's hand rests.
    """
    found = {}
    for chosen in CALCULATORS:
        name, inputs = chosen.id, default_entries(chosen, "si")
        field = _telling(name, inputs) if rounds else ""
        found[name] = [
            {
                "op": "run",
                "calculator": name,
                "system": "si",
                "inputs": _moved(inputs, field, turn) if turn else inputs,
                "working": working,
            }
            for turn in range(rounds + 1)
        ]
    return found


def _timed(request):
    begun = time.perf_counter()
    answer = bridge.run(request["calculator"], request["inputs"])
    spent = (time.perf_counter() - begun) * 1e3
    if "errors" in answer:
        raise RuntimeError(f"{request['calculator']}: {answer['errors']}")
    return spent


def main(rounds):
    """Time the calculators, working included, and print what was found."""
    asked = requests(int(rounds), working=True)
    native = {
        name: statistics.median([_timed(each) for each in turns][1:])
        for name, turns in asked.items()
    }
    print(json.dumps({"native_ms": native, "requests": asked}))


if __name__ == "__main__":
    main(*sys.argv[1:])
