"""Run inside the engine while its memory image is made: import everything, fill every cache.

What is in memory when the image is taken never has to be imported on the reader's device.
"""


def warm_up():
    import importlib
    import json
    import pkgutil

    import calc
    import view
    from calc import bridge, evidence
    from calc.calculators import calculator
    from calc.entries import default_entries

    for package in (calc, view):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if not module.name.endswith("__main__"):
                importlib.import_module(module.name)
    for entry in bridge.listing():
        for system in ("si", "us"):
            inputs = default_entries(calculator(entry["id"]), system)
            for op in ("run", "convert"):
                request = {
                    "op": op,
                    "calculator": entry["id"],
                    "system": system,
                    "inputs": inputs,
                }
                answer = json.loads(view.respond(json.dumps(request)))
                if "errors" in answer:
                    raise RuntimeError(
                        f"the example of {entry['id']} in {system} cannot be computed: "
                        f"{answer['errors']}"
                    )
    json.loads(view.respond('{"op": "version"}'))
    # The image has no files: what is read from one has to be read now.
    if evidence.rows():
        view.respond('{"op": "evidence", "index": 0}')


warm_up()
del warm_up
