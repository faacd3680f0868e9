// @ts-check
/**
 * Fetches the module of an element on the pages that have one, and on no other.
 */

// A page that is being left aborts what it was fetching, which Firefox tells it as a failure. By the
// end of this time (ms) such a page is gone, and has reported nothing.
const LEAVING = 300;

/**
 * Define an element as soon as a page holds one. The theme tells when it has replaced a page.
 *
 * @param {string} tag
 * @param {() => Promise<CustomElementConstructor>} load
 * @param {{subscribe: (look: () => void) => unknown} | undefined} [pages] the pages of this visit
 * @param {readonly string[]} [styles] style sheets that the element needs and most pages do not
 */
export function onPage(
  tag,
  load,
  pages = /** @type {any} */ (globalThis).document$,
  styles = [],
) {
  let loading = false;
  const look = async () => {
    if (!document.querySelector(tag)) return;
    // The theme may take a sheet away with the head of the page before.
    for (const name of styles) styled(name);
    if (loading || customElements.get(tag)) return;
    loading = true;
    try {
      const made = await load();
      if (!customElements.get(tag)) customElements.define(tag, made);
    } catch (error) {
      // Without a network it may come on the next page that asks for it.
      loading = false;
      await new Promise((done) => setTimeout(done, LEAVING));
      console.error(`${tag} could not be loaded:`, error);
      // Or its file is damaged in the copy on the device, which is looked through then.
      document.dispatchEvent(new Event("handbook:damaged"));
    }
  };
  if (pages) pages.subscribe(() => void look());
  else void look();
}

/**
 * Have one of the book's style sheets on this page, once.
 *
 * @param {string} name
 */
export function styled(name) {
  const { href } = new URL(`../css/${name}.css`, import.meta.url);
  const there = [...document.querySelectorAll('link[rel="stylesheet"]')].some(
    (link) => /** @type {HTMLLinkElement} */ (link).href === href,
  );
  if (there) return;
  const link = document.createElement("link");
  link.rel = "stylesheet";
  link.href = href;
  document.head.append(link);
}
