/* Photos: kept beside the answer that they belong to; the camera is offered beside the choice of a picture. */

import { plainButton } from "./line.js";
import { storePicture } from "./memory.js";

export async function keepPicture(form, item) {
  const input = form.querySelector("input[type=file]");
  if (!input || !input.files.length) {
    return !input;
  }
  if (!window.caches) {
    return false;
  }
  try {
    await storePicture(item.id, input.files[0]);
  } catch {
    return false;
  }
  item.file = { field: input.name, name: input.files[0].name };
  return true;
}

export function offerCamera(input) {
  const button = plainButton("Take a photo now", function () {
    input.setAttribute("capture", "environment");
    input.click();
    input.removeAttribute("capture");
  });
  input.after(button);
}
