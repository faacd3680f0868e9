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

// A browser makes a program quick only where it has seen it run: the first answers take up to ten
// times as long as the later ones. So what was asked first is worked out again, unheard, while the
// reader still looks, a little at a time and not for long. What took long is not: whoever asks next
// would wait for it.
const REST = 600;
const LONG = 500;
const GAP = 15;
const ROUNDS = 30;
const ENOUGH = 2000;
/** @type {ReturnType<typeof setTimeout> | undefined} */ let clock;
let rounds = 0;
let spent = 0;

/** @param {string} text */
function warm(text) {
  if (!engine || rounds >= ROUNDS || spent > ENOUGH || !text.startsWith('{"op":"run"')) return;
  const begun = performance.now();
  try {
    engine.respond(text);
  } catch {
    return; // whoever asks is told
  }
  rounds += 1;
  spent += performance.now() - begun;
  clock = setTimeout(warm, GAP, text);
}

/** @param {string} text */
function answer(text) {
  clearTimeout(clock);
  try {
    if (!engine) throw new Error("the engine has not started");
    const begun = performance.now();
    postMessage({ type: "answer", text: engine.respond(text) });
    if (performance.now() - begun < LONG) clock = setTimeout(warm, REST, text);
  } catch (error) {
    postMessage({ type: "answer", message: plain(error) });
  }
}

self.addEventListener("message", ({ data }) => {
  if (data.type === "boot") void boot(data.snapshot);
  else if (data.type === "ask") answer(data.text);
});
