/* A photo is made small on the phone before it is sent: upright, without place and device, and no larger than what
   the studio keeps. What the phone can't read is sent as it is, where the studio can. */

const LONGEST_PX = 2200;
const QUALITY = 0.85;
const TAKEN = ["image/jpeg", "image/png", "image/webp"];
const HEIC = /\.(heic|heif)$/i;

async function drawn(file) {
  try {
    return await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return null;
  }
}

function isHeic(file) {
  return HEIC.test(file.name) || file.type.startsWith("image/hei");
}

/* The sentence that says why a picture can't be sent; empty where it can. */
export async function troubleWith(file, mostBytes) {
  const bitmap = await drawn(file);
  if (bitmap) {
    bitmap.close();
    return "";
  }
  if (!file.size) {
    return "The file is empty: choose the picture again.";
  }
  if (isHeic(file)) {
    return (
      "This is a HEIC picture, which your browser can’t read. Share it as JPEG, or set your camera to " +
      "“most compatible” and take it again."
    );
  }
  if (!TAKEN.includes(file.type)) {
    return "We can’t read this picture: choose a JPEG, PNG or WebP.";
  }
  if (file.size > mostBytes) {
    return (
      "The file is larger than " +
      Math.floor(mostBytes / 1048576) +
      " MB: save the picture smaller and choose it again."
    );
  }
  return "";
}

export async function shrunk(file) {
  const bitmap = await drawn(file);
  if (!bitmap) {
    return file;
  }
  const scale = Math.min(1, LONGEST_PX / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff"; // where a picture lets light through
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const small = await new Promise(function (take) {
    canvas.toBlob(take, "image/jpeg", QUALITY);
  });
  return small || file;
}
