// @ts-check
/**
 * Makes one piece of a page equal to new HTML by changing only what differs.
 *
 * Elements that stay keep their identity: an `<output>` is the same object before and after, a
 * `<details>` keeps the state in which the reader left it, and a screen reader hears only what changed.
 */

const ELEMENT = 1;

/**
 * @param {Element} part
 * @param {string} html
 */
export function morph(part, html) {
  const template = part.ownerDocument.createElement("template");
  template.innerHTML = html;
  alignChildren(part, template.content);
}

/**
 * @param {Node} node
 * @returns {string | null} what names a child among its siblings
 */
function keyOf(node) {
  if (node.nodeType !== ELEMENT) return null;
  const element = /** @type {Element} */ (node);
  const key = element.getAttribute("data-key");
  return key === null ? null : `${element.nodeName}:${key}`;
}

/**
 * @param {Node} before
 * @param {Node} after
 */
function alignChildren(before, after) {
  /** @type {Map<string, Node>} */
  const keyed = new Map();
  for (const child of [...before.childNodes]) {
    const key = keyOf(child);
    if (key === null) continue;
    // A second child of the same name could not be told from the first one.
    if (keyed.has(key)) before.removeChild(child);
    else keyed.set(key, child);
  }
  /** @type {ChildNode | null} */
  let cursor = before.firstChild;
  for (const wanted of [...after.childNodes]) {
    const key = keyOf(wanted);
    /** @type {Node | null} */
    let match = null;
    if (key !== null) {
      match = keyed.get(key) ?? null;
    } else {
      // A keyed element is never used for an unkeyed one; it may be wanted further down.
      while (cursor && keyOf(cursor) !== null) cursor = cursor.nextSibling;
      if (cursor && sameKind(cursor, wanted)) match = cursor;
    }
    if (match === null) {
      before.insertBefore(wanted, cursor);
      continue;
    }
    if (match === cursor) cursor = cursor.nextSibling;
    else before.insertBefore(match, cursor);
    alignNode(match, wanted);
    if (key !== null) keyed.delete(key);
  }
  removeSurplus(before, after, keyed, cursor);
}

/**
 * @param {Node} before
 * @param {Node} after
 * @param {Map<string, Node>} unused keyed children that the new content does not have
 * @param {ChildNode | null} cursor first child that was not looked at
 */
function removeSurplus(before, after, unused, cursor) {
  for (const node of unused.values()) {
    if (node === cursor) cursor = cursor.nextSibling;
    before.removeChild(node);
  }
  while (cursor) {
    const next = cursor.nextSibling;
    before.removeChild(cursor);
    cursor = next;
  }
}

/** @param {Node} one @param {Node} other */
function sameKind(one, other) {
  return one.nodeType === other.nodeType && one.nodeName === other.nodeName;
}

/**
 * @param {Node} before
 * @param {Node} after
 */
function alignNode(before, after) {
  if (before.isEqualNode(after)) return;
  if (before.nodeType !== ELEMENT) {
    before.nodeValue = after.nodeValue;
    return;
  }
  alignAttributes(/** @type {Element} */ (before), /** @type {Element} */ (after));
  alignChildren(before, after);
}

/**
 * @param {Element} before
 * @param {Element} after
 */
function alignAttributes(before, after) {
  const readersOwn = before.nodeName.toLowerCase() === "details" ? "open" : null;
  for (const { name } of [...before.attributes]) {
    if (name !== readersOwn && !after.hasAttribute(name)) before.removeAttribute(name);
  }
  for (const { name, value } of [...after.attributes]) {
    if (name !== readersOwn && before.getAttribute(name) !== value) before.setAttribute(name, value);
  }
}
