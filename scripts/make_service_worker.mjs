/**
 * Makes the list of the edition's files and the service worker that keeps them for offline use.
 *
 *     node scripts/make_service_worker.mjs SITE_FOLDER
 *
 * A file left out of the list would be missing in the basement, so a warning is a failure.
 * Prints one line of JSON: {"edition": name, "count": files, "bytes": all of them together}.
 */

import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

import { getManifest } from "workbox-build";
// The bundler that the library makes its own workers with; its version is pinned exactly.
import { bundle } from "workbox-build/build/lib/bundle.js";

const require = createRequire(import.meta.url);
const site = resolve(process.argv[2]);
const LIST = "assets/edition.json";
const WORKER = "sw.js";

/** @param {string} name @returns {[number, string]} how many bytes, and their SHA-256 */
function measured(name) {
  const content = readFileSync(join(site, name));
  return [content.length, createHash("sha256").update(content).digest("hex")];
}

// A device fetches these when the book is put on its home screen, and keeps them itself.
const NOT_KEPT = ["assets/icons/start-*.png"];

/** Everything the site has, licences too: a course package is made without a network. */
async function manifest(left, hashes) {
  return getManifest({
    globDirectory: site,
    globPatterns: ["**/*"],
    globIgnores: [...left, ...NOT_KEPT],
    // The engine is far above the default limit, beyond which a file is dropped with a warning.
    maximumFileSizeToCacheInBytes: 60e6,
    manifestTransforms: [
      (entries) => ({ manifest: entries.map((entry) => ({ ...entry, ...hashes(entry.url) })) }),
    ],
  });
}

/** Write the list by which a page checks the copy. Its name for the edition follows from the files. */
async function writeList() {
  const { manifestEntries } = await manifest([WORKER, LIST], () => ({}));
  const files = Object.fromEntries(
    manifestEntries.map(({ url }) => url).sort().map((url) => [url, measured(url)]),
  );
  const edition = createHash("sha256").update(JSON.stringify(files)).digest("hex").slice(0, 12);
  const bytes = Object.values(files).reduce((sum, [each]) => sum + each, 0);
  const time = Number(process.env.SOURCE_DATE_EPOCH ?? Date.now() / 1000);
  const date = new Date(time * 1000).toISOString().slice(0, 10);
  writeFileSync(join(site, LIST), `${JSON.stringify({ edition, date, bytes, files })}\n`);
  return edition;
}

const edition = await writeList();
const { manifestEntries, count, size, warnings } = await manifest([WORKER], (url) => {
  const [, hash] = measured(url);
  return {
    // What of the hash the page's check needs to know a file's key: see offline-copy.mjs.
    revision: hash.slice(0, 16),
    integrity: `sha256-${Buffer.from(hash, "hex").toString("base64")}`,
  };
});
if (warnings.length) {
  console.error(warnings.join("\n"));
  process.exit(1);
}

const source = readFileSync(fileURLToPath(new URL("service_worker.mjs", import.meta.url)), "utf-8");
const [made] = await bundle({
  unbundledCode: source
    .replace(/(?<=from )"(workbox-[a-z]+)"/g, (_, name) => JSON.stringify(require.resolve(name)))
    .replace("self.__WB_MANIFEST", () => JSON.stringify(manifestEntries)),
  swDest: join(site, WORKER),
  inlineWorkboxRuntime: true,
  sourcemap: false,
  mode: "production",
  babelPresetEnvTargets: ["chrome >= 90", "firefox >= 100", "safari >= 16"],
});
writeFileSync(join(site, WORKER), made.contents);
console.log(JSON.stringify({ edition, count, bytes: size }));
