// @ts-check
/**
 * Calls the search's worker, which waits in search-later.js, when a reader turns to the search.
 */
const TURNED = ["focusin", "input", "change"];

/** @param {() => void} [call] */
export function callSearch(call = called()) {
  const search = document.querySelector(".md-search");
  const toggle = document.getElementById("__search");
  for (const type of TURNED) {
    search?.addEventListener(type, call);
    toggle?.addEventListener(type, call);
  }
  const open = toggle instanceof HTMLInputElement && toggle.checked;
  const asked = new URLSearchParams(location.search).has("q");
  if (open || asked || search?.contains(document.activeElement)) call();
}

/** Each turn calls anew: the worker may not have been there to hear the one before. */
function called() {
  const channel = new BroadcastChannel("handbook.search");
  return () => channel.postMessage("now");
}
