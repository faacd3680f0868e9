/**
 * Makes the memory image of an engine that has everything imported and every cache warm.
 *
 *     node scripts/make_snapshot.mjs ENGINE_FOLDER WARM_UP.py OUTPUT.pack
 *
 * The same input gives the same bytes. For that, everything that differs from run to run stands
 * still while the image is made: the clock, chance, the seed of Python's hashes, the machine's names.
 * Prints one line of JSON: {"raw": bytes, "head": bytes, "python": version, "seconds": ...}.
 */

import nodeCrypto from "node:crypto";
import { writeFileSync, readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";
import { resolve } from "node:path";

import {
  fetcherFor,
  shortcutPlace,
  startPython,
  unpackPackages,
} from "../docs/assets/js/engine-boot.mjs";

const SITE_PACKAGES = "/lib/python3.14/site-packages";
const [folder, warmUp, output] = process.argv.slice(2).map((word) => resolve(word));
const base = pathToFileURL(`${folder}/`);
// The engine tells Python the name of the program and the language of the machine. In an image they
// would differ from one builder to the next, and tell where it was made.
process.argv[1] = "handbook";
const begun = process.hrtime.bigint();

holdStill();

// A failure inside a minified file would print all of that file.
process.on("uncaughtException", (failure) => {
  console.error(String(failure?.message ?? failure));
  process.exit(1);
});

const get = fetcherFor(base);
const settings = {
  _makeSnapshot: true,
  // Columns for error messages take room in the image and help nobody there.
  env: {
    HOME: "/home/pyodide",
    LANG: "en_US.UTF-8",
    PYTHONHASHSEED: "0",
    PYTHONNODEBUGRANGES: "1",
  },
};
const compiled = await compiledPackages();
const pyodide = await startPython(base, get, settings);
await unpackPackages(pyodide, get);
pyodide.unpackArchive(compiled, "zip", { extractDir: SITE_PACKAGES });
const python = pyodide.runPython("import sys; sys.version.split()[0]");
pyodide.runPython(readFileSync(warmUp, "utf8"));
pyodide.runPython("import gc; gc.collect()");
const { _module: module } = pyodide;
module.HEAP32[shortcutPlace(module)] = 0;
const image = withoutTrailingZeros(pyodide.makeMemorySnapshot());
const packed = gzipSync(image, { level: 9 });
packed[9] = 255; // the name of the packing system, which would differ between systems
writeFileSync(output, packed);
const seconds = Number(process.hrtime.bigint() - begun) / 1e9;
// The second word tells where the memory begins, after what Pyodide notes about it.
const head = new DataView(image.buffer, image.byteOffset).getUint32(4, true);
console.log(JSON.stringify({ raw: image.length, head, python, seconds }));

/**
 * Compiles the packages in an engine of their own, so that what the compiler leaves in memory
 * does not end up in the image: it comes out a tenth smaller.
 */
async function compiledPackages() {
  const compiler = await startPython(base, get, settings);
  await unpackPackages(compiler, get);
  compiler.runPython(`
import compileall, pathlib, py_compile, zipfile
root = pathlib.Path("${SITE_PACKAGES}")
# Without docstrings, which nobody reads there, but under the names of an ordinary Python.
compileall.compile_dir(root, quiet=1, optimize=2,
                       invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH)
for path in sorted(root.rglob("*.opt-2.pyc")):
    path.replace(path.with_name(path.name.replace(".opt-2.pyc", ".pyc")))
with zipfile.ZipFile("/tmp/compiled.zip", "w") as archive:
    for path in sorted(root.rglob("*.pyc")):
        archive.write(path, str(path.relative_to(root)))
`);
  return compiler.FS.readFile("/tmp/compiled.zip");
}

/** Makes the clock stand still and chance repeat itself, in this process only. */
function holdStill() {
  const instant = Date.UTC(2026, 0, 1);
  const RealDate = Date;
  globalThis.Date = class extends RealDate {
    constructor(...parts) {
      super(...(parts.length ? parts : [instant]));
    }
    static now() {
      return instant;
    }
  };
  performance.now = () => 0;
  Math.random = () => 0.5;
  const fill = (array) => {
    new Uint8Array(array.buffer, array.byteOffset, array.byteLength).fill(7);
    return array;
  };
  Object.defineProperty(globalThis, "crypto", {
    value: { getRandomValues: fill, randomUUID: () => "00000000-0000-4000-8000-000000000000" },
  });
  // In Node the engine takes its chance from here.
  nodeCrypto.randomFillSync = fill;
}

/** Cuts the zeros at the end, down to a multiple of 16: a shorter image restores as well. */
function withoutTrailingZeros(image) {
  let end = image.length;
  while (end > 0 && image[end - 1] === 0) {
    end -= 1;
  }
  return image.subarray(0, Math.min(image.length, Math.ceil(end / 16) * 16));
}
