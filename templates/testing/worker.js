/* Keeps the questions that a tester has to answer, so that they can be read where there is no connection.
   With a connection every page comes from the studio. */
"use strict";
const PAGES = "evenrow making pages";
const QUESTION =
  /^\/making\/([0-9]+\/((gauge|measure)\/[^/]+\/|(yarn|hours|note|photo|remark|read|count)\/|more\/([^/]+\/){0,2})?)?$/;

function isKept(request) {
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) {
    return false;
  }
  return request.mode === "navigate"
    ? QUESTION.test(address.pathname)
    : address.pathname.startsWith("{{ static }}") || address.pathname.startsWith("/files/photos/");
}

/* Where the pages are kept; nothing once they are erased or somebody has signed out. Only a page of questions begins
   it, so that an answer that was on its way meanwhile is not kept again. */
async function findPages() {
  return (await caches.has(PAGES)) ? caches.open(PAGES) : null;
}

function keptPages() {
  return navigator.locks ? navigator.locks.request(PAGES, findPages) : findPages();
}

async function fromStudioFirst(request) {
  try {
    const answer = await fetch(request);
    const pages = answer.ok && !answer.redirected && (await keptPages());
    if (pages) {
      const address = new URL(request.url);
      address.search = ""; // one page, whatever led to it: the newest is shown without a line
      await pages.put(address.href, answer.clone());
    }
    return answer;
  } catch {
    const kept = { cacheName: PAGES, ignoreVary: true, ignoreSearch: true };
    return (await caches.match(request.url, kept)) || Response.error();
  }
}

self.addEventListener("install", function () {
  self.skipWaiting();
});
self.addEventListener("activate", function (event) {
  event.waitUntil(self.clients.claim());
});
self.addEventListener("fetch", function (event) {
  if (isKept(event.request)) {
    event.respondWith(fromStudioFirst(event.request));
  }
});
