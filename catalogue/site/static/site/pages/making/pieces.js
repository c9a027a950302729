/* A photo goes in pieces, so that a slow line loses nothing: each piece has a time of its own, what the studio has is
   never sent again, and a photo that was cut off goes on where it stood, also after the page was closed. */

import { progress } from "./line.js";
import { findPicture, own } from "./memory.js";
import { makeReady } from "./photos.js";
import { keyForForms, request } from "./requests.js";

const FIRST_BYTES = 16384;
const MOST_BYTES = 262144;
const QUICK_MS = 1500;

function addressOf(item) {
  const garment = item.path.slice(own.home.length).split("/")[0];
  return own.home + garment + "/photo/pieces/" + item.id + "/";
}

async function haveOf(answer) {
  const kind = (answer && answer.headers.get("content-type")) || "";
  return kind.startsWith("application/json") ? (await answer.json()).have : null;
}

function sendPiece(item, piece, at) {
  return request(addressOf(item) + "?at=" + at, {
    method: "POST",
    body: piece,
    headers: { "X-CSRFToken": keyForForms(), "Content-Type": "application/octet-stream" },
  });
}

/* Whether all is there, and else the answer that stopped it: nothing where none came. */
export async function sendPieces(item) {
  await makeReady(item);
  const kept = await findPicture(item.id);
  if (!kept) {
    return { whole: true };
  }
  const picture = await kept.blob();
  let answer = await request(addressOf(item), {});
  let have = await haveOf(answer);
  let size = FIRST_BYTES;
  while (have !== null && have < picture.size) {
    progress(have / picture.size);
    const at = have;
    const begun = Date.now();
    answer = await sendPiece(item, picture.slice(at, at + size), at);
    have = await haveOf(answer);
    if (have === at) {
      return { whole: false, answer: null };
    }
    size = Date.now() - begun < QUICK_MS ? Math.min(size * 2, MOST_BYTES) : Math.max(size / 2, FIRST_BYTES);
  }
  return { whole: have !== null, answer: answer };
}
