/**
 * Loaded before each file of tests: lets a file end when its tests have, not when the last timer has
 * run down. A test that itself waits for such a timer still waits: it fails, and is not passed over.
 *
 *     node --import ./tests/js/before/timers.mjs --test tests/js/*.test.mjs
 */
const LONG = 5000;

/** @param {any} set what sets a timer */
const lettingGo = (set) =>
  Object.assign((go, delay, ...rest) => {
    const timer = set(go, delay, ...rest);
    return delay >= LONG ? timer.unref() : timer;
  }, set);

globalThis.setTimeout = lettingGo(globalThis.setTimeout);
globalThis.setInterval = lettingGo(globalThis.setInterval);
