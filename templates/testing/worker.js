/* Keeps the questions that a tester has to answer, so that they can be read where there is no connection.
   With a connection every page comes from the studio. What is not kept is told by a page of this script's own: it
   stands in no store, and says nothing of anybody. */
"use strict";
const PAGES = "evenrow making pages";
const HOME = "{% url 'my_making' %}";
const LOST = "{% filter escapejs %}{% include 'testing/no_connection.html' only %}{% endfilter %}";
const QUESTION =
  /^\/making\/([0-9]+\/((gauge|measure)\/[^/]+\/|(yarn|hours|note|photo|remark|read|count)\/|more\/([^/]+\/){0,2})?)?$/;

function isOurs(request) {
  return request.method === "GET" && new URL(request.url).origin === self.location.origin;
}

function isKept(request) {
  const address = new URL(request.url);
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

async function keep(request, answer) {
  const pages = answer.ok && !answer.redirected && (await keptPages());
  if (pages) {
    const address = new URL(request.url);
    address.search = ""; // one page, whatever led to it: the newest is shown without a line
    await pages.put(address.href, answer.clone());
  }
}

function findKept(address) {
  return caches.match(address, { cacheName: PAGES, ignoreVary: true, ignoreSearch: true });
}

async function fromStudioFirst(request) {
  try {
    const answer = await fetch(request);
    await keep(request, answer);
    return answer;
  } catch {
    return (await findKept(request.url)) || Response.error();
  }
}

/* A page, kept or not; where there is no line and nothing of it is kept, a way back to what is. */
async function pageOf(request) {
  if (isKept(request)) {
    const answer = await fromStudioFirst(request);
    return answer.type === "error" ? lost(request) : answer;
  }
  return fetch(request).catch(function () {
    return lost(request);
  });
}

async function lost(request) {
  const garment = /^\/making\/[0-9]+\//.exec(new URL(request.url).pathname);
  const back = garment && (await findKept(garment[0])) ? garment[0] : HOME;
  return new Response(LOST.replace("BACK", back), {
    status: 503,
    headers: { "Content-Type": "text/html; charset=utf-8" },
  });
}

self.addEventListener("install", function () {
  self.skipWaiting();
});
self.addEventListener("activate", function (event) {
  event.waitUntil(self.clients.claim());
});
self.addEventListener("fetch", function (event) {
  const request = event.request;
  if (isOurs(request) && request.mode === "navigate") {
    event.respondWith(pageOf(request));
  } else if (isOurs(request) && isKept(request)) {
    event.respondWith(fromStudioFirst(request));
  }
});
