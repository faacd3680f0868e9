/**
 * Starts the calculation engine: Python in WebAssembly with the handbook's own packages.
 *
 * The same code runs in the page's worker and, from the command line, in Node.
 * The quick way restores a memory image in which everything is already imported.
 * Whatever goes wrong on that way, the plain way follows: start Python, unpack, import.
 */

/**
 * @typedef {{stage: "fetching" | "restoring" | "fallback" | "starting" | "unpacking" | "importing" | "ready",
 *            message?: string}} Progress
 * @typedef {{respond: (text: string) => string, how: "snapshot" | "plain", pyodide: object,
 *            close: () => void}} Engine
 * @typedef {(name: string) => Promise<Response>} Fetcher
 */

const PROGRAM = "pyodide.asm.pack";
const PROGRAM_UNPACKED = "pyodide.asm.wasm";
const PROGRAM_SCRIPT = "pyodide.asm.js";
const IMAGE = "snapshot.pack";
const inNode = typeof process === "object" && Boolean(process.versions?.node);

/**
 * Starts the engine.
 *
 * @param {object} options
 * @param {string | URL} options.base folder of the engine's files, ending in a slash
 * @param {boolean} [options.snapshot] whether to try the memory image first
 * @param {(progress: Progress) => void} [options.onProgress] told at each stage
 * @returns {Promise<Engine>}
 */
export async function bootEngine({ base, snapshot = true, onProgress = () => {} }) {
  const get = fetcherFor(base);
  if (snapshot) {
    try {
      return await restore(base, get, onProgress);
    } catch (failure) {
      onProgress({ stage: "fallback", message: String(failure) });
    }
  }
  onProgress({ stage: "starting" });
  const pyodide = await startPython(base, get);
  onProgress({ stage: "unpacking" });
  await unpackPackages(pyodide, get);
  onProgress({ stage: "importing" });
  const engine = engineOf(pyodide, "plain");
  onProgress({ stage: "ready" });
  return engine;
}

/**
 * Gives a function that fetches one of the engine's files and fails on anything but success.
 *
 * @param {string | URL} base
 * @returns {Fetcher}
 */
export function fetcherFor(base) {
  if (inNode) {
    return async (name) => {
      const { readFile } = await import("node:fs/promises");
      return new Response(await readFile(new URL(name, base)));
    };
  }
  return async (name) => checked(name, await fetch(new URL(name, base)));
}

/**
 * Gives the same answer when it is the file that was asked for, as far as can be told from outside.
 *
 * @param {string} name
 * @param {Response} response
 */
export function checked(name, response) {
  if (!response.ok) {
    throw new Error(`${name} could not be fetched (${response.status})`);
  }
  // Some hosts, and networks that ask to sign in, answer everything with a page.
  if (response.headers.get("content-type")?.startsWith("text/html")) {
    throw new Error(
      `a page came instead of ${name}. If this network asks you to sign in, do that, and reload`,
    );
  }
  return response;
}

/**
 * Starts a bare Python without any package.
 *
 * @param {string | URL} base
 * @param {Fetcher} get
 * @param {object} [extra] further options of loadPyodide
 * @param {ReturnType<typeof askedFor>} [asked] what was asked for before
 */
export async function startPython(base, get, extra = {}, asked = askedFor(base, get)) {
  const { program } = asked;
  const [{ loadPyodide }, manifest] = await Promise.all([asked.loader, asked.manifest]);
  const { createPyodideModule = await creator(base), ...others } = extra;
  const folder = await folderOf(base);
  const place = inNode
    ? await programOnDisk(await program)
    : programByFetch(folder, await program, manifest.program_bytes);
  try {
    return await loadPyodide({
      indexURL: place.indexURL,
      stdLibURL: `${folder}python_stdlib.zip`,
      // An empty list of packages: nothing can be fetched from anywhere by an accidental import.
      lockFileContents: { info: manifest.info, packages: {} },
      packageBaseUrl: folder,
      env: { HOME: "/home/pyodide", PYTHONHASHSEED: "0" },
      // Pyodide itself would wait for ever for a program that breaks off.
      createPyodideModule: (/** @type {object} */ settings) =>
        Promise.race([createPyodideModule(settings), place.broken]),
      ...others,
    });
  } finally {
    await place.leave();
  }
}

/**
 * Ask for all that every start needs, at once: each file asked for only after another has come
 * would add that one's way to the start.
 *
 * @param {string | URL} base
 * @param {Fetcher} get
 */
function askedFor(base, get) {
  const asked = {
    program: get(PROGRAM),
    loader: import(new URL("pyodide.js", base).href),
    manifest: manifestOf(get),
  };
  for (const early of Object.values(asked)) {
    early.catch(() => {}); // a failure is met where the promise is awaited
  }
  return asked;
}

/** @param {string | URL} base */
async function creator(base) {
  return (await import(new URL(PROGRAM_SCRIPT, base).href)).default;
}

/**
 * Hands over the program while it is unpacked, so that the browser compiles what has come so far.
 *
 * Pyodide fetches its program by itself, and knows no packed one. In the worker nothing else
 * fetches while Pyodide starts, so for that long its one request is answered here.
 *
 * @param {string} folder
 * @param {Response} packed
 * @param {number} size of the unpacked program
 */
function programByFetch(folder, packed, size) {
  const address = new URL(PROGRAM_UNPACKED, folder).href;
  const { body, broken } = watched(unpackedBody(packed), size);
  const program = new Response(body, { headers: { "content-type": "application/wasm" } });
  const usual = globalThis.fetch;
  globalThis.fetch = (asked, ...rest) =>
    String(asked) === address ? Promise.resolve(program) : usual(asked, ...rest);
  return {
    indexURL: folder,
    broken,
    leave: async () => {
      globalThis.fetch = usual;
    },
  };
}

/**
 * Unpacks the program into a folder that is there while Pyodide starts: in Node it reads a file.
 *
 * @param {Response} packed
 */
async function programOnDisk(packed) {
  const { mkdtemp, rm, writeFile } = await import("node:fs/promises");
  const { tmpdir } = await import("node:os");
  const { join, sep } = await import("node:path");
  const { gunzipSync } = await import("node:zlib");
  const program = gunzipSync(new Uint8Array(await packed.arrayBuffer()));
  const folder = await mkdtemp(join(tmpdir(), "handbook-"));
  await writeFile(join(folder, PROGRAM_UNPACKED), program);
  return {
    indexURL: `${folder}${sep}`,
    broken: new Promise(() => {}),
    leave: () => rm(folder, { recursive: true }),
  };
}

/**
 * Gives the same stream, and a promise that is rejected when it breaks off or has another length.
 *
 * @param {ReadableStream<Uint8Array>} stream
 * @param {number} size
 */
export function watched(stream, size) {
  const reader = stream.getReader();
  let at = 0;
  /** @type {(reason: unknown) => void} */ let tell;
  const broken = new Promise((_, reject) => {
    tell = reject;
  });
  broken.catch(() => {}); // may be met before anybody waits for it
  const body = new ReadableStream({
    async pull(controller) {
      try {
        const { done, value } = await reader.read();
        if (!done) {
          at += value.length;
          controller.enqueue(value);
          return;
        }
        if (at !== size) {
          throw new Error(`the program has ${at} bytes, not ${size}`);
        }
        controller.close();
      } catch (failure) {
        tell(failure);
        controller.error(failure);
      }
    },
  });
  return { body, broken };
}

/**
 * Gives the unpacked body of one of the engine's packed files.
 *
 * @param {Response} response
 */
function unpackedBody(response) {
  // A server may have declared the file's own compression as a transfer encoding.
  // Then the body arrives unpacked already.
  return response.headers.has("content-encoding")
    ? response.body
    : response.body.pipeThrough(new DecompressionStream("gzip"));
}

/**
 * Tells where in memory Python keeps its shortcut for calling functions, as an index of HEAP32.
 *
 * The shortcut is a place in a table that each JavaScript engine fills in its own way, and some
 * leave out (0 means: go the long way). So it may not travel with an image: the image holds 0,
 * and a restored engine gets its own back.
 *
 * @param {*} module
 */
export function shortcutPlace(module) {
  return (module.__PyRuntime + module.HEAP32[module.__PyEM_EMSCRIPTEN_TRAMPOLINE_OFFSET >> 2]) >> 2;
}

/**
 * Unpacks the handbook's packages where Python looks for them.
 *
 * @param {*} pyodide
 * @param {Fetcher} get
 */
export async function unpackPackages(pyodide, get) {
  unpack(pyodide, await (await get("handbook.zip")).arrayBuffer());
}

function unpack(pyodide, zip) {
  const [place] = pyodide.runPython("import site; site.getsitepackages()").toJs();
  pyodide.unpackArchive(zip, "zip", { extractDir: place });
  // Python tells from a folder's time whether to look into it again. The clock may stand still.
  pyodide.runPython("import importlib; importlib.invalidate_caches()");
}

async function manifestOf(get) {
  return (await get("engine.json")).json();
}

async function folderOf(base) {
  if (!inNode) {
    return new URL(base).href;
  }
  const { fileURLToPath } = await import("node:url");
  return fileURLToPath(base);
}

async function restore(base, get, onProgress) {
  onProgress({ stage: "fetching" });
  const asked = askedFor(base, get);
  const script = import(new URL(PROGRAM_SCRIPT, base).href);
  const image = arriving((take) => unpackImage(get, take));
  script.catch(() => {}); // a failure is met below, where the promise is awaited
  const { snapshot_bytes: size, snapshot_head_bytes: head } = await asked.manifest;
  // Pyodide is given what stands before the image; the image itself goes to its place without it,
  // once and not twice.
  const told = new Uint8Array(head);
  let ownShortcut = 0;
  const options = {
    _loadSnapshot: told,
    createPyodideModule: async (settings) => {
      const { default: createModule } = await script;
      const module = await createModule(settings);
      // The image may be longer than the memory a module starts with. Asking for that much once
      // makes it grow; the restored image then brings its own account of what is in use.
      if (module.HEAPU8.length < size) {
        module._malloc(size);
      }
      ownShortcut = module.HEAP32[shortcutPlace(module)];
      onProgress({ stage: "restoring" });
      await image.into(filling([told, module.HEAPU8.subarray(0, size - head)]));
      return module;
    },
  };
  const pyodide = await startPython(base, get, options, asked);
  const { _module: module } = pyodide;
  module.HEAP32[shortcutPlace(module)] = ownShortcut;
  // All restored engines would draw the same random numbers.
  pyodide.runPython("import random; random.seed()");
  const engine = engineOf(pyodide, "snapshot");
  JSON.parse(engine.respond('{"op": "version"}'));
  onProgress({ stage: "ready" });
  return engine;
}

/**
 * Begins to bring something in pieces. What comes before there is a place for it waits.
 *
 * @param {(take: (piece: Uint8Array) => void) => Promise<void>} bring
 */
export function arriving(bring) {
  /** @type {Uint8Array[]} */
  const early = [];
  let take = (/** @type {Uint8Array} */ piece) => void early.push(piece);
  const whole = bring((piece) => take(piece));
  whole.catch(() => {}); // met where it is awaited
  return {
    /** @param {{take: (piece: Uint8Array) => void, end: () => void}} place */
    async into(place) {
      for (const piece of early.splice(0)) place.take(piece);
      take = place.take;
      await whole;
      place.end();
    },
  };
}

/**
 * Fills one array after another from pieces; too little or too much is a failure.
 *
 * @param {Uint8Array[]} arrays
 */
export function filling(arrays) {
  const size = arrays.reduce((sum, { length }) => sum + length, 0);
  let came = 0;
  return {
    take: (/** @type {Uint8Array} */ piece) => {
      let start = 0; // of the array, in what comes
      for (const array of arrays) {
        const from = Math.max(start - came, 0);
        const to = Math.min(start + array.length - came, piece.length);
        if (from < to) array.set(piece.subarray(from, to), came + from - start);
        start += array.length;
      }
      came += piece.length;
    },
    end: () => {
      if (came !== size) throw new Error(`the memory image has ${came} bytes, not ${size}`);
    },
  };
}

/**
 * Unpacks the memory image piece by piece.
 *
 * @param {Fetcher} get
 * @param {(piece: Uint8Array) => void} take
 */
async function unpackImage(get, take) {
  const reader = unpackedBody(await get(IMAGE)).getReader();
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    take(value);
  }
}

function engineOf(pyodide, how) {
  const respond = pyodide.runPython("from view import respond\nrespond");
  return {
    respond: (text) => respond(text),
    how,
    pyodide,
    close: () => respond.destroy(),
  };
}
