/**
 * Loaded before each file of tests: lets a file end when its tests have, not when the last timer has
 * run down. A test that itself waits for such a timer still waits: it fails, and is not passed over.
 *
 *     node --import ./tests/js/before/timers.mjs --test tests/js/*.test.mjs
 */
const LONG = 5000;
const { setInterval, setTimeout } = globalThis;

globalThis.setTimeout = Object.assign((go, delay, ...rest) => {
  const timer = setTimeout(go, delay, ...rest);
  return delay >= LONG ? timer.unref() : timer;
}, setTimeout);
globalThis.setInterval = (go, delay, ...rest) => {
  const timer = setInterval(go, delay, ...rest);
  return delay >= LONG ? timer.unref() : timer;
};
