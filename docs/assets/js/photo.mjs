// @ts-check
/**
 * Makes a small picture of a photo, so that a job of many photos fits on the device.
 *
 * The picture is drawn anew, so the place and the camera that a photo may name stay behind.
 */

/** Pixels of the longer side. */
export const LONGEST = 1280;
const QUALITY = 0.8;

/**
 * Return width and height that fit, in the same proportion. A small picture is not blown up.
 *
 * @param {number} width
 * @param {number} height
 * @param {number} [longest]
 */
export function fitted(width, height, longest = LONGEST) {
  const scale = Math.min(1, longest / Math.max(width, height));
  return {
    width: Math.max(1, Math.round(width * scale)),
    height: Math.max(1, Math.round(height * scale)),
  };
}

/**
 * Return the photo as a small JPEG.
 *
 * @param {Blob} file
 * @returns {Promise<Blob>}
 * @throws {Error} with a sentence for the reader
 */
export async function smallPhoto(file) {
  const image = new Image();
  const address = URL.createObjectURL(file);
  try {
    image.src = address;
    // An image element turns the picture as the camera was held, in every browser.
    await image.decode();
    const { width, height } = fitted(image.naturalWidth, image.naturalHeight);
    const canvas = document.createElement("canvas");
    canvas.width = width;
    canvas.height = height;
    const pen = canvas.getContext("2d");
    if (!pen) throw new Error("This browser lends no room to draw the photo smaller.");
    pen.fillStyle = "#ffffff";
    pen.fillRect(0, 0, width, height);
    pen.imageSmoothingQuality = "high";
    pen.drawImage(image, 0, 0, width, height);
    return await asJpeg(canvas);
  } catch (error) {
    if (error instanceof DOMException) {
      throw new Error("This file cannot be read as a photo. Take it again, or choose another file.");
    }
    throw error;
  } finally {
    URL.revokeObjectURL(address);
    image.removeAttribute("src");
  }
}

/** @param {HTMLCanvasElement} canvas @returns {Promise<Blob>} */
function asJpeg(canvas) {
  return new Promise((resolve, reject) => {
    canvas.toBlob(
      (blob) =>
        blob ? resolve(blob) : reject(new Error("The photo could not be made smaller. Try again.")),
      "image/jpeg",
      QUALITY,
    );
  });
}
