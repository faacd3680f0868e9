// @ts-check
/**
 * The copy of the book on the device: what it should hold, what it holds, and mending it.
 *
 * The service worker fills it. Here it is read and mended from a page, file by file: nothing is put
 * into it whose hash is not the one in the edition's list. Knows nothing of the page it is called from.
 */

/** @typedef {Record<string, [bytes: number, hash: string]>} Files */
/** @typedef {{edition: string, date: string, bytes: number, files: Files}} List */
/** @typedef {"network" | "missing" | "page" | "differs" | "full" | "forbidden"} Trouble */
/** @typedef {{count: number, bytes: number, missing: string[]}} Kept */
/** @typedef {{list: List, damaged: string[], missing: string[], fetched: string[], left: string[], problem: CopyProblem | null}} Mended */

export const BASE = new URL("../../", import.meta.url);
const LIST = "assets/edition.json";
// The names that the service worker's library gives to the cache and to a file in it.
const CACHE = `workbox-precache-v2-${BASE.href}`;
const REVISION = "__WB_REVISION__";
const REVISION_LENGTH = 16;
// A query that the service worker does not know leads past the copy to the site.
const PAST_THE_COPY = "?fresh=1";

/** What stands in the way of a whole copy, with a sentence for the reader. */
export class CopyProblem extends Error {
  /** @param {Trouble} kind @param {string} [name] the file */
  constructor(kind, name = "") {
    super(sentenceOf(kind, name));
    this.kind = kind;
    this.file = name;
  }
}

/** @param {Trouble} kind @param {string} name @returns {string} */
function sentenceOf(kind, name) {
  switch (kind) {
    case "network":
      return "The connection broke off. What has come is kept, and the rest is fetched when there is a connection.";
    case "full":
      return "This device has no room for the rest of the copy. Remove something from the device, then reload this page.";
    case "forbidden":
      return "This browser does not let the book be kept: a private window or a setting forbids it. Open the book in an ordinary window, or allow this site to keep data.";
    case "missing":
      return `The site does not have the file ${name}. Tell whoever keeps the site to put all of its files up again.`;
    case "page":
      return `The site answers with a page instead of the file ${name}. If this network asks you to sign in, do that, then reload. Else tell whoever keeps the site.`;
    case "differs":
      return `The site's file ${name} is not the one that this edition lists. If the site is being changed, reload in some minutes. Else tell whoever keeps the site to put all of its files up again.`;
  }
}

/** @param {BufferSource} content @returns {Promise<string>} its SHA-256 */
async function hashOf(content) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", content));
  return [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {string} name @param {string} hash @returns {string} the file's key in the cache */
export function keyOf(name, hash) {
  return `${new URL(name, BASE).href}?${REVISION}=${hash.slice(0, REVISION_LENGTH)}`;
}

/** @returns {Promise<Cache>} */
async function opened() {
  try {
    return await caches.open(CACHE);
  } catch {
    throw new CopyProblem("forbidden");
  }
}

/**
 * Return a list that says of itself that it is whole, or null.
 *
 * @param {string} text
 * @returns {Promise<List | null>}
 */
async function sound(text) {
  try {
    const list = /** @type {List} */ (JSON.parse(text));
    const hash = await hashOf(new TextEncoder().encode(JSON.stringify(list.files)));
    return hash.startsWith(list.edition) && list.edition.length > 0 ? list : null;
  } catch {
    return null;
  }
}

/** @param {string} query @param {RequestCache} cache @returns {Promise<List | null>} */
async function listAt(query, cache) {
  let answer;
  try {
    answer = await fetch(new URL(LIST + query, BASE), { cache });
  } catch {
    throw new CopyProblem("network", LIST);
  }
  if (!answer.ok) throw new CopyProblem("missing", LIST);
  return sound(await answer.text());
}

/**
 * Return the list of the edition that serves this page: from the copy, or before there is one,
 * from the site.
 *
 * @returns {Promise<List>}
 */
export async function listInUse() {
  const list = await listAt("", "no-cache");
  if (list) return list;
  // The list in the copy is damaged itself. Without it, the service worker fetches a sound one.
  const cache = await opened();
  for (const request of await cache.keys()) {
    if (new URL(request.url).pathname === new URL(LIST, BASE).pathname) await cache.delete(request);
  }
  const again = await listAt("", "no-cache");
  if (!again) throw new CopyProblem("differs", LIST);
  return again;
}

/** @returns {Promise<List>} the list of the edition that the site has now */
export async function listOnSite() {
  const list = await listAt(PAST_THE_COPY, "no-store");
  if (!list) throw new CopyProblem("page", LIST);
  return list;
}

/** @param {List} list @returns {Promise<Kept>} what of it is in the copy, by name alone */
export async function kept(list) {
  const cache = await opened();
  const there = new Set((await cache.keys()).map((request) => request.url));
  const found = { count: 0, bytes: 0, missing: /** @type {string[]} */ ([]) };
  for (const [name, [bytes, hash]] of Object.entries(list.files)) {
    if (there.has(keyOf(name, hash))) {
      found.count += 1;
      found.bytes += bytes;
    } else found.missing.push(name);
  }
  return found;
}

/**
 * Read every file of the copy and compare its hash with the list.
 *
 * @param {List} list
 * @param {(bytes: number) => void} [onProgress] bytes looked at so far
 * @returns {Promise<{damaged: string[], missing: string[]}>}
 */
export async function check(list, onProgress = () => undefined) {
  const cache = await opened();
  const damaged = [];
  const missing = [];
  let done = 0;
  for (const [name, [bytes, hash]] of Object.entries(list.files)) {
    const response = await cache.match(keyOf(name, hash));
    if (!response) missing.push(name);
    else if (!(await isWhole(response, hash))) damaged.push(name);
    done += bytes;
    onProgress(done);
  }
  return { damaged, missing };
}

/** @param {Response} response @param {string} hash */
async function isWhole(response, hash) {
  try {
    return (await hashOf(await response.arrayBuffer())) === hash;
  } catch {
    // A body that cannot be read is no better than a wrong one.
    return false;
  }
}

/**
 * Fetch files from the site and put each into the copy once its hash is right. What is in the copy
 * stays until then.
 *
 * @param {string[]} names
 * @param {List} list
 * @param {(name: string, bytes: number) => void} [onFile]
 * @throws {CopyProblem} at the first file that cannot be had
 */
export async function fetchAgain(names, list, onFile = () => undefined) {
  const cache = await opened();
  for (const name of names) {
    const [bytes, hash] = list.files[name];
    const { content, type } = await fromSite(name, hash);
    try {
      await cache.put(
        keyOf(name, hash),
        new Response(content, { headers: { "Content-Type": type } }),
      );
    } catch {
      throw new CopyProblem("full", name);
    }
    onFile(name, bytes);
  }
}

/** @param {string} name @param {string} hash */
async function fromSite(name, hash) {
  let answer;
  let content;
  try {
    answer = await fetch(new URL(name + PAST_THE_COPY, BASE), { cache: "no-store" });
    content = await answer.arrayBuffer();
  } catch {
    throw new CopyProblem("network", name);
  }
  if (answer.status >= 500) throw new CopyProblem("network", name);
  if (!answer.ok) throw new CopyProblem("missing", name);
  const type = answer.headers.get("Content-Type") ?? "application/octet-stream";
  if ((await hashOf(content)) !== hash) {
    const page = type.startsWith("text/html") && !name.endsWith(".html");
    throw new CopyProblem(page ? "page" : "differs", name);
  }
  return { content, type };
}

/**
 * Check the copy, and fetch just what is damaged or missing.
 *
 * @param {(bytes: number) => void} [onProgress] bytes looked at so far
 * @returns {Promise<Mended>}
 */
export async function mendCopy(onProgress) {
  const list = await listInUse();
  const found = await check(list, onProgress);
  const wanted = [...found.damaged, ...found.missing];
  /** @type {string[]} */ const fetched = [];
  let problem = null;
  try {
    await fetchAgain(wanted, list, (name) => fetched.push(name));
  } catch (error) {
    if (!(error instanceof CopyProblem)) throw error;
    problem = error;
  }
  const left = wanted.filter((name) => !fetched.includes(name));
  return { list, ...found, fetched, left, problem };
}

/** Take the copy away. What the reader has written is kept elsewhere and stays. */
export async function removeCopy() {
  const registration = await navigator.serviceWorker?.getRegistration(BASE.href);
  await registration?.unregister();
  await caches.delete(CACHE);
}

/** @returns {boolean} whether the book is open as an app from the home screen */
export function opensAsApp() {
  return (
    globalThis.matchMedia?.("(display-mode: standalone)").matches ||
    /** @type {any} */ (globalThis.navigator)?.standalone === true
  );
}

/**
 * Ask the browser to clear nothing of this site unless its user says so.
 *
 * Some browsers put the question to their user, so it is asked where a reader has pressed something,
 * and where none of them asks: of an app.
 *
 * @returns {Promise<boolean>}
 */
export async function protect() {
  return (await navigator.storage?.persist?.().catch(() => false)) ?? false;
}

/**
 * What the browser says of its storage; null where it does not tell.
 *
 * @returns {Promise<{used: number | null, room: number | null, persisted: boolean | null}>}
 */
export async function storage() {
  const { storage: manager } = navigator;
  const estimate = await manager?.estimate?.().catch(() => null);
  const persisted = await manager?.persisted?.().catch(() => null);
  return {
    used: estimate?.usage ?? null,
    room: estimate?.quota ?? null,
    persisted: persisted ?? null,
  };
}
