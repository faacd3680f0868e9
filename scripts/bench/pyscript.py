# A peer of the benchmark: the same calculator in a self-hosted PyScript, as its papers start it.
import json

from pyscript import document, fetch, window

from view import respond

peer = await fetch("./peer.json").json()  # noqa: F704
document.getElementById("answer").textContent = respond(json.dumps(peer["request"]))
window.performance.mark("live-result")
