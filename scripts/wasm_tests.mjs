/**
 * Runs the tests in the browser's Python, in Node: the same engine, the packages as shipped.
 *
 *     node scripts/wasm_tests.mjs ENGINE_FOLDER TESTS.zip [pytest arguments]
 *
 * TESTS.zip holds pytest and what it needs under packages/, and the tests under work/.
 * The exit code is pytest's own.
 */

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

import { fetcherFor, startPython, unpackPackages } from "../docs/assets/js/engine-boot.mjs";

process.on("uncaughtException", (failure) => {
  console.error(String(failure?.message ?? failure));
  process.exit(1);
});

const [folder, tests, ...words] = process.argv.slice(2);
const base = pathToFileURL(`${resolve(folder)}/`);
const get = fetcherFor(base);
// The tests need parts of Python's library that the site leaves out.
const whole = resolve("node_modules/pyodide/python_stdlib.zip");
const pyodide = await startPython(base, get, { stdLibURL: whole });
await unpackPackages(pyodide, get);
pyodide.unpackArchive(new Uint8Array(readFileSync(resolve(tests))), "zip", { extractDir: "/" });
pyodide.globals.set("words", pyodide.toPy(words));
const code = pyodide.runPython(`
import importlib, os, sys
sys.path.insert(0, "/packages")
importlib.invalidate_caches()
os.chdir("/work")
sys.dont_write_bytecode = True
import pytest
int(pytest.main(["-p", "no:cacheprovider", "-p", "no:faulthandler", *words]))
`);
process.exit(code);
