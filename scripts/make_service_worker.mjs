/**
 * Makes the service worker that keeps the whole site for offline use.
 *
 *     node scripts/make_service_worker.mjs SITE_FOLDER
 *
 * A file left out of the list would be missing in the basement, so a warning is a failure.
 * Prints one line of JSON: {"count": files, "bytes": all of them together}.
 */

import { writeFileSync } from "node:fs";
import { join, resolve } from "node:path";

import { generateSW } from "workbox-build";

const site = resolve(process.argv[2]);

const { count, size, warnings } = await generateSW({
  globDirectory: site,
  // Everything the site has, but for what only a first visit reads. The licences go along too:
  // a course package is made without a network, and has to hold them.
  globPatterns: ["**/*"],
  globIgnores: ["sw.js", "assets/engine/precache.json"],
  swDest: join(site, "sw.js"),
  inlineWorkboxRuntime: true,
  sourcemap: false,
  mode: "production",
  // The engine is far above the default limit, beyond which a file is dropped with a warning.
  maximumFileSizeToCacheInBytes: 60e6,
  // A new edition waits until the reader takes it: it starts only on the page's message.
  skipWaiting: false,
  // The first visit is looked after at once, so the very next page already works offline.
  clientsClaim: true,
  cleanupOutdatedCaches: true,
  directoryIndex: "index.html",
  // An address that is not in the book: the network knows whether a newer edition has it, and
  // without a network the page that says so comes from the copy, not from the browser.
  runtimeCaching: [
    {
      urlPattern: ({ request }) => request.mode === "navigate",
      handler: "NetworkOnly",
      options: { precacheFallback: { fallbackURL: "404.html" } },
    },
  ],
  // A search result's link carries ?h=..., a forced way to start ?engine=plain.
  // A calculator's numbers stand in the hash.
  ignoreURLParametersMatching: [/^utm_/, /^h$/, /^q$/, /^engine$/],
});

if (warnings.length) {
  console.error(warnings.join("\n"));
  process.exit(1);
}
writeFileSync(
  join(site, "assets/engine/precache.json"),
  `${JSON.stringify({ count, bytes: size })}\n`,
);
console.log(JSON.stringify({ count, bytes: size }));
