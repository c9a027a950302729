/* Photos: kept beside the answer that they belong to; the camera is offered beside the choice of a picture. */

import { plainButton } from "./line.js";
import { change, findPicture, storePicture } from "./memory.js";
import { shrunk, troubleWith } from "./shrinking.js";

export function hasPicture(form) {
  const input = form.querySelector("input[type=file]");
  return Boolean(input && input.files.length);
}

/* As it was chosen, before anything else is done with it: whoever taps on at once loses nothing. */
export async function keepPicture(form, item) {
  const input = form.querySelector("input[type=file]");
  if (!input || !input.files.length) {
    return true;
  }
  if (!window.caches) {
    return false;
  }
  try {
    await storePicture(item.id, input.files[0]);
  } catch {
    return false;
  }
  item.file = { field: input.name, name: input.files[0].name, isWhole: true };
  return true;
}

/* Made small, and without its place, before any of it is sent. */
export async function makeReady(item) {
  const kept = item.file.isWhole && (await findPicture(item.id));
  if (!kept) {
    return;
  }
  const picture = await kept.blob();
  await storePicture(item.id, await shrunk(new File([picture], item.file.name, { type: picture.type })));
  item.file.isWhole = false;
  change(item.id, function (one) {
    one.file.isWhole = false;
    return one;
  });
}

/* What can't be sent is said as soon as it is chosen, and again when it is to be sent all the same. */
export async function pictureFits(form) {
  const input = form.querySelector("input[type=file]");
  if (!input || !input.files.length) {
    return true;
  }
  const says = await troubleWith(input.files[0], Number(input.dataset.mostBytes));
  sayAtPicture(form, says);
  return !says;
}

/* Why a picture is not taken stands at its field; nothing where it is. */
export function sayAtPicture(form, says) {
  const input = form.querySelector("input[type=file]");
  let words = document.getElementById("picture-trouble");
  if (words) {
    words.remove();
  }
  if (says) {
    words = document.createElement("p");
    words.id = "picture-trouble";
    words.className = "invalid-feedback d-block";
    words.setAttribute("role", "alert");
    words.textContent = says;
    input.after(words);
    input.focus();
  }
}

export function offerCamera(input) {
  const button = plainButton("Take a photo now", function () {
    input.setAttribute("capture", "environment");
    input.click();
    input.removeAttribute("capture");
  });
  input.after(button);
  input.addEventListener("change", function () {
    pictureFits(input.form);
  });
}
