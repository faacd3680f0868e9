// @ts-check
/**
 * The worker's side: starts Python once and answers one question after another.
 */
import { bootEngine } from "./engine-boot.mjs";

/** @type {{respond: (text: string) => string, how: string} | null} */
let engine = null;
let booting = false;

/** @param {unknown} error */
const plain = (error) => (error instanceof Error ? error.message : String(error));

/** @param {boolean} snapshot whether to try the quick start */
async function boot(snapshot) {
  // A page may ask for it before its modules are there, and they ask again.
  if (booting) return;
  booting = true;
  try {
    engine = await bootEngine({
      base: new URL("../engine/", import.meta.url).href,
      snapshot,
      onProgress: (/** @type {unknown} */ progress) => postMessage({ type: "progress", progress }),
    });
    postMessage({ type: "ready", how: engine.how });
  } catch (error) {
    postMessage({ type: "failed", message: plain(error) });
  }
}

/** @param {string} text */
function answer(text) {
  try {
    if (!engine) throw new Error("the engine has not started");
    postMessage({ type: "answer", text: engine.respond(text) });
  } catch (error) {
    postMessage({ type: "answer", message: plain(error) });
  }
}

self.addEventListener("message", ({ data }) => {
  if (data.type === "boot") void boot(data.snapshot);
  else if (data.type === "ask") answer(data.text);
});
