// @ts-check
/** Acts that wait until the hand rests, each under a name. */
export class Pauses {
  /** @type {Map<string, ReturnType<typeof setTimeout>>} */ #clocks = new Map();

  /**
   * @param {string} name an earlier pause of the same name ends unheard
   * @param {number} milliseconds
   * @param {() => void} act
   */
  after(name, milliseconds, act) {
    this.cancel(name);
    this.#clocks.set(
      name,
      setTimeout(() => {
        this.#clocks.delete(name);
        act();
      }, milliseconds),
    );
  }

  /** @param {string} name @returns {boolean} whether an act still waits */
  has(name) {
    return this.#clocks.has(name);
  }

  /** @param {string} name */
  cancel(name) {
    clearTimeout(this.#clocks.get(name));
    this.#clocks.delete(name);
  }

  /** End all of them unheard. */
  clear() {
    for (const name of [...this.#clocks.keys()]) this.cancel(name);
  }
}
