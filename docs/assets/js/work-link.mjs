// @ts-check
/**
 * An assignment in a link: packed behind the `#`, which a browser never sends to a server.
 */
import { LinkError, packed, unpacked } from "./job-link.mjs";

const WORK = /#work=([^\s]*)$/;
/** An assignment holds no pictures; its file is far smaller. */
const LONGEST_TEXT = 200_000;

/** The page on which a trainee opens an assignment. */
export const TRAINEE_PAGE = new URL("../../assignment/", import.meta.url).href;

/**
 * @param {string} text of an assignment's file
 * @param {string} [page]
 * @returns {Promise<string>}
 */
export async function workLink(text, page = TRAINEE_PAGE) {
  return `${new URL(page).href.replace(/#.*$/, "")}#work=${await packed(text)}`;
}

/** @param {string} address or the part of one behind its `#` @returns {string | null} */
export function workOf(address) {
  return WORK.exec(address.trim())?.[1] ?? null;
}

/**
 * Return the text of the assignment in a link that was pasted or opened.
 *
 * @param {string} address
 * @returns {Promise<string>}
 */
export async function workText(address) {
  const work = workOf(address);
  if (!work) {
    throw new LinkError("There is no assignment in this link. Copy the whole link, to its last letter.");
  }
  try {
    return await unpacked(work, LONGEST_TEXT);
  } catch (error) {
    if (error instanceof LinkError && /too old/.test(error.message)) throw error;
    throw new LinkError(
      "This link is damaged or was cut short, so there is no assignment in it. " +
        "Ask for it again, or for the file.",
    );
  }
}
