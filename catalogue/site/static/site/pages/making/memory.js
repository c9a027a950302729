/* The phone's memory: reading and writing fail where a browser keeps nothing. */

export const own = document.querySelector("script[data-person]").dataset;

const PREFIX = "evenrow making " + own.person + " ";
export const UNSENT = PREFIX + "unsent";
export const DRAFT = PREFIX + "draft ";
export const NOTE = PREFIX + "note";
export const PAGES = "evenrow making pages";
export const QUESTIONS_OF = "evenrow questions of";
const PICTURES = PREFIX + "pictures";
const ERASED = "evenrow erased " + own.person;

/* Another window may have erased everything: from then on nothing of this person is kept on this phone. */
export function isErased() {
  return read(ERASED) !== null;
}

export function read(key) {
  try {
    return JSON.parse(window.localStorage.getItem(key));
  } catch {
    return null;
  }
}

export function write(key, value) {
  try {
    if (value === null) {
      window.localStorage.removeItem(key);
    } else if (isErased()) {
      return false;
    } else {
      window.localStorage.setItem(key, JSON.stringify(value));
    }
    return true;
  } catch {
    return false;
  }
}

export function unsent() {
  return read(UNSENT) || [];
}

export function storeUnsent(items) {
  return write(UNSENT, items.length ? items : null);
}

export function change(id, how) {
  storeUnsent(
    unsent()
      .map(function (item) {
        return item.id === id ? how(item) : item;
      })
      .filter(Boolean),
  );
}

export function drafts() {
  return Object.keys(window.localStorage)
    .filter(function (key) {
      return key.startsWith(DRAFT);
    })
    .map(function (key) {
      return Object.assign({ path: key.slice(DRAFT.length) }, read(key));
    });
}

function pictureKey(id) {
  return own.home + "kept-picture/" + id;
}

export async function storePicture(id, picture) {
  if (isErased()) {
    return;
  }
  await (await caches.open(PICTURES)).put(pictureKey(id), new Response(picture));
}

export async function findPicture(id) {
  return (await caches.open(PICTURES)).match(pictureKey(id));
}

export async function forgetPicture(id) {
  if (window.caches) {
    await (await caches.open(PICTURES)).delete(pictureKey(id));
  }
}

/* Whoever signs in again on this phone begins anew; whom the studio has erased does not come back. */
export async function forgetErased() {
  write(ERASED, true);
  await forgetAll();
}

export async function forgetAll() {
  Object.keys(window.localStorage)
    .filter(function (key) {
      return key.startsWith(PREFIX);
    })
    .forEach(function (key) {
      window.localStorage.removeItem(key);
    });
  write(QUESTIONS_OF, null);
  if (window.caches) {
    await caches.delete(PICTURES);
    await alone(function () {
      return caches.delete(PAGES);
    });
  }
}

/* Where the questions are kept; nothing from the moment that everything is erased. */
export function openPages() {
  return alone(function () {
    return isErased() ? null : caches.open(PAGES);
  });
}

/* The same, only where some are kept: nothing begins anew after somebody has signed out. */
export function keptPages() {
  return alone(async function () {
    return !isErased() && (await caches.has(PAGES)) ? caches.open(PAGES) : null;
  });
}

/* The worker opens what is kept under the same lock, where the browser has locks. */
function alone(work) {
  return navigator.locks ? navigator.locks.request(PAGES, work) : work();
}
