// The search's worker: holds back what the theme tells it until a reader turns to the search, then
// fetches the words of the book and lets the theme's own worker begin. search.mjs calls it.
(() => {
  const SETUP = 0;
  const held = [];
  const hold = (event) => {
    event.stopImmediatePropagation();
    held.push(event.data);
  };
  let begun = false;
  addEventListener("message", hold);
  const called = new BroadcastChannel("handbook.search");
  called.onmessage = async () => {
    const setup = held.find(({ type }) => type === SETUP);
    if (begun || !setup) return; // the next call comes with the next letter
    begun = true;
    try {
      const answer = await fetch(new URL("../../search/words.json", location.href));
      const docs = await answer.json();
      // The build has put the name of the theme's worker beside the settings of the index.
      importScripts(new URL(`../javascripts/workers/${setup.data.config.worker}`, location.href));
      called.close();
      removeEventListener("message", hold);
      setup.data.docs = docs;
      for (const data of held) dispatchEvent(new MessageEvent("message", { data }));
    } catch (error) {
      begun = false; // the next call tries again
      console.error("The words of the book could not be fetched:", error);
    }
  };
})();
