// @ts-check
/**
 * Fetches the module of an element on the pages that have one, and on no other.
 */

/**
 * Define an element as soon as a page holds one. The theme tells when it has replaced a page.
 *
 * @param {string} tag
 * @param {() => Promise<CustomElementConstructor>} load
 * @param {{subscribe: (look: () => void) => unknown} | undefined} [pages] the pages of this visit
 */
export function onPage(tag, load, pages = /** @type {any} */ (globalThis).document$) {
  let loading = false;
  const look = async () => {
    if (loading || !document.querySelector(tag)) return;
    loading = true;
    try {
      customElements.define(tag, await load());
    } catch (error) {
      // Without a network it may come on the next page that asks for it.
      loading = false;
      console.error(`${tag} could not be loaded:`, error);
    }
  };
  if (pages) pages.subscribe(() => void look());
  else void look();
}
