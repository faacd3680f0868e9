/**
 * The service worker: the whole book from the copy on the device, one edition at a time.
 *
 * make_service_worker.mjs puts the list of files in and joins this with the library's modules. Each
 * file has its hash in the list: what a host sends instead of it, a page of its own or a changed
 * file, ends the installation, and the edition before stays whole.
 */
import { clientsClaim } from "workbox-core";
import { cleanupOutdatedCaches, matchPrecache, precacheAndRoute } from "workbox-precaching";
import { registerRoute, setCatchHandler } from "workbox-routing";

// A new edition waits until a reader takes it: it starts on a page's message only.
self.addEventListener("message", ({ data }) => {
  if (data?.type === "SKIP_WAITING") self.skipWaiting();
});
// The first visit is looked after at once, so the very next page already works offline.
clientsClaim();
cleanupOutdatedCaches();

precacheAndRoute(self.__WB_MANIFEST, {
  directoryIndex: "index.html",
  // A search result's link carries ?h=..., a forced way to start ?engine=plain.
  // A calculator's numbers stand in the hash.
  ignoreURLParametersMatching: [/^utm_/, /^h$/, /^q$/, /^engine$/],
});

// An address that is not in the book: the network knows whether a newer edition has it, and
// without a network the page that says so comes from the copy, not from the browser.
registerRoute(
  ({ request }) => request.mode === "navigate",
  async ({ request }) => {
    try {
      return await fetch(request);
    } catch {
      return (await matchPrecache("404.html")) ?? told("No network", ABSENT);
    }
  },
);

const ABSENT =
  "This page is missing from the copy on this device, and there is no network now. " +
  "Connect the device, then open the page again.";
const AFRESH =
  "The copy of the book on this device is not whole any more, and the site has another edition. " +
  "The book is being opened from the site.";

// A file of the list is neither in the copy nor to be had as it was listed: browsers empty the
// copy and keep the worker. A page of another edition has to be shown without this worker then.
setCatchHandler(async ({ request }) => {
  if (request.mode !== "navigate") return Response.error();
  try {
    await fetch(request.url, { cache: "no-store", credentials: "same-origin" });
  } catch {
    return told("No network", ABSENT);
  }
  await self.registration.unregister();
  return told("Opening the book from the site", AFRESH, '<meta http-equiv="refresh" content="0">');
});

function told(title, text, head = "") {
  const page =
    '<!doctype html><html lang="en"><head><meta charset="utf-8">' +
    `<meta name="viewport" content="width=device-width,initial-scale=1">${head}` +
    `<title>${title}</title></head><body><main><h1>${title}</h1><p>${text}</p>` +
    `<p><a href="${self.registration.scope}">To the first page</a></p></main></body></html>`;
  return new Response(page, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
