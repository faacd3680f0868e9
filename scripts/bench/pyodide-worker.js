// A peer of the benchmark: Pyodide as its own papers start it, packages by micropip, in a worker.
import { loadPyodide } from "./pyodide/pyodide.mjs";

const { wheels, request } = await (await fetch("./peer.json")).json();
const pyodide = await loadPyodide({ indexURL: new URL("./pyodide/", import.meta.url).href });
await pyodide.loadPackage("micropip");
const micropip = pyodide.pyimport("micropip");
await micropip.install(wheels.map((name) => new URL(`./wheels/${name}`, import.meta.url).href));
const respond = pyodide.runPython("from view import respond\nrespond");
postMessage(respond(JSON.stringify(request)));
